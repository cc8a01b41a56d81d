"""What is kept up to date in threads beside the window: the plan, and what checks taught."""
