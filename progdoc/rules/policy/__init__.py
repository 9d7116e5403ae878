"""The firm's and its clients' own rules, held against the law, and the program held against them."""
