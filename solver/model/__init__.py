"""The OR-Tools model of record: variables, rules, goals, hint, solve."""
