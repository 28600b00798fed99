"""What a rehearsal came to, as a workbook, JSON and pictures."""
