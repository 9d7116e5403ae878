"""Who has which duty, roles put where they are named, and the rules of the firm by task."""
