"""The records, one module a subject; every table is imported here so that all are known."""

from desk.models.base import Base
from desk.models.charges import Charge, Invoice, InvoiceLine, PayRule, Price, Settlement
from desk.models.contacts import Contact, ContactPlayer
from desk.models.event import DayCorrection, DayOpening, Event, EventDay, HouseTime, LogEntry, Secret, SentForm
from desk.models.jobs import OPEN_STATES, STATE_WORDS, DropOff, HandOver, Job, JobCard, Promise, StateChange
from desk.models.machines import Calibration, Machine, MachineCare, MachineCheck, Outage, ServiceHours
from desk.models.mishaps import Mishap, ShiftNote
from desk.models.people import Absence, Account, Player, Shift, SignedSession, Stringer, TrustedDevice
from desk.models.plans import QUICK, Assignment, PlannerBeat, PlannerLease, PlanRun
from desk.models.play import Court, Match, MatchChange, MatchSide, PlayStop
from desk.models.racquets import Frame, KnownCard, Racquet
from desk.models.rehearsals import PlayerWish, Rehearsal, RehearsalRun
from desk.models.string_store import Reel, ReelEntry, StringType
from desk.models.word import Word, WordSender, WordWay
