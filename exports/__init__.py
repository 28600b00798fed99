"""Pure spreadsheet writers: typed rows in, workbook, CSV or JSON out.

The rows stand in ``rows``, what holds them in ``report``, the writers in ``files``.
"""
