"""The air of a task: each hazard's level against its limits, the evidence for it, and what the law sets without one."""
