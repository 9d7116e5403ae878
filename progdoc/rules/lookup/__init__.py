"""The law's tables and what is looked up in them: agents, limits, protocols, cartridges, units of the air."""
