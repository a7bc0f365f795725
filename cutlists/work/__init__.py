"""The work of building a boat: tasks, their order, the plan, and what of it is done."""
