"""The Crops page: what is known of each crop, where from, and the farm's own figures."""
