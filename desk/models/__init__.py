"""The records, one module a subject; every table is imported here so that all are known."""

from .base import Base
from .charges import Charge, Price, Settlement
from .event import DayCorrection, Event, EventDay, LogEntry, Secret
from .house_times import HouseTime
from .jobs import OPEN_STATES, STATES, DropOff, HandOver, Job, JobCard, Promise, StateChange
from .machines import Calibration, Machine, Outage, ServiceHours
from .people import Absence, Account, Player, Shift, Stringer, TrustedDevice
from .plans import Assignment, PlannerLease, PlanRun
from .play import Court, Match, MatchChange, MatchSide, PlayStop
from .racquets import Frame, Racquet
from .string_store import Reel, ReelEntry, StringType

__all__ = [
    "OPEN_STATES",
    "STATES",
    "Absence",
    "Account",
    "Assignment",
    "Base",
    "Calibration",
    "Charge",
    "Court",
    "DayCorrection",
    "DropOff",
    "Event",
    "EventDay",
    "Frame",
    "HandOver",
    "HouseTime",
    "Job",
    "JobCard",
    "LogEntry",
    "Machine",
    "Match",
    "MatchChange",
    "MatchSide",
    "Outage",
    "PlanRun",
    "PlannerLease",
    "PlayStop",
    "Player",
    "Price",
    "Promise",
    "Racquet",
    "Reel",
    "ReelEntry",
    "Secret",
    "ServiceHours",
    "Settlement",
    "Shift",
    "StateChange",
    "StringType",
    "Stringer",
    "TrustedDevice",
]
