"""A report as a file: workbook, CSV, JSON, and the empty event workbook."""
