"""Law and description meet here: what is asked, of whom, and whether the description shows it."""
