"""What a workload and a plan say, and what each shortcoming costs."""
