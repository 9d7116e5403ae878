"""People kept in a spreadsheet: the table read as if it were YAML."""
