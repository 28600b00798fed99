"""Pure spreadsheet writers: typed rows in, workbook, CSV or JSON out."""
