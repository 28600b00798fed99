"""What whoever runs the installation looks at: whether it is well, its figures, its log."""
