"""Every table, by what it keeps.  Only ``records`` and ``actions`` may import this room."""

from castworthy.records.models.bench import Gauge, Photo, Reading
from castworthy.records.models.finish import Face, Scan, Trace, TraceSetAside
from castworthy.records.models.head import Head, Kind, Outcome, Step
from castworthy.records.models.people import Person, Role, Shop, ShowLength, SignInAttempt
from castworthy.records.models.proof import AssemblyTick, ProofTest, Release, TestKind
from castworthy.records.models.sheet import SheetRevision, SpecSheet
from castworthy.records.models.sums import KeptSum, SumTakenBack
from castworthy.records.models.trade import Customer, Lot, Supplier
from castworthy.records.models.trail import Trail
from castworthy.records.models.work import Operation, OperationState, Plan

__all__ = [
    "AssemblyTick",
    "Customer",
    "Face",
    "Gauge",
    "Head",
    "KeptSum",
    "Kind",
    "Lot",
    "Operation",
    "OperationState",
    "Outcome",
    "Person",
    "Photo",
    "Plan",
    "ProofTest",
    "Reading",
    "Release",
    "Role",
    "Scan",
    "SheetRevision",
    "Shop",
    "ShowLength",
    "SignInAttempt",
    "SpecSheet",
    "Step",
    "SumTakenBack",
    "Supplier",
    "TestKind",
    "Trace",
    "TraceSetAside",
    "Trail",
]
