"""Say how long the files of an event take and how much memory: python -m tests.exports.measure [JOBS] [DAYS]."""

import resource
import sys
import time

from exports.files.csvzip import write_csv_zip
from exports.files.jsonfile import write_json
from exports.files.workbook import write_workbook
from tests.exports.full_report import make_full_report


def main() -> None:
    jobs, days = (int(word) for word in (sys.argv[1:] or ["6000", "15"]))
    report = make_full_report(jobs=jobs, days=days)
    print(f"{jobs} jobs, {days} days; {_peak_mb()} MB before the first file")
    for write in (write_workbook, write_csv_zip, write_json):
        wall, cpu = time.perf_counter(), time.process_time()
        content = write(report)
        print(
            f"{write.__name__}: {time.perf_counter() - wall:.1f} s, of those {time.process_time() - cpu:.1f} s "
            f"computing; {len(content) / 1e6:.1f} MB written; {_peak_mb()} MB at the peak so far"
        )


def _peak_mb() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


if __name__ == "__main__":
    main()
