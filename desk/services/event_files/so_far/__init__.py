"""An event as it stands, written beside its tables: everything that was told, done, cut and paid."""
