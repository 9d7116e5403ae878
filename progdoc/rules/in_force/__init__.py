"""What is in force: the strictest of law, standard, client and firm, and who set it."""
