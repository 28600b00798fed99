"""What the desk does: one module a subject, guards first, inside the caller's one transaction."""
