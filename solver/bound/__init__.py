"""A proved lower bound on the total of any plan of a workload."""
