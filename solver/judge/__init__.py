"""What judges a plan without a solver: the rules, the costs, the troubles."""
