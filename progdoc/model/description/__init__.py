"""The description's own shapes: program, tasks, hazards, masks, people, procedures, policies, and their values."""
