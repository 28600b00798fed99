"""What was due: by needed-by times and by promises."""
