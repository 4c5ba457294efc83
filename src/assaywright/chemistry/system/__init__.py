"""A titration named by substances and concentrations, and how it becomes one that the equilibria can follow."""

from assaywright.chemistry.system.description import ACTIVITIES, KINDS, OwnAcid, OwnCouple, Portion, System
from assaywright.chemistry.system.dissolving import check_dissolving
from assaywright.chemistry.system.prepared import Prepared, prepared

__all__ = ["ACTIVITIES", "KINDS", "OwnAcid", "OwnCouple", "Portion", "Prepared", "System",
           "check_dissolving", "prepared"]
