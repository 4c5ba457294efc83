"""The tables: the events, which are the truth, and what is made from them."""

from assaywright.records.models.accepted import AcceptedRemark, Accreditation
from assaywright.records.models.assays import Assay, Determination, Result
from assaywright.records.models.bench import Confirmed, KeptReading
from assaywright.records.models.certificates import Attachment, Certificate, HistoricResult, Signature
from assaywright.records.models.enquiries import Enquiry
from assaywright.records.models.equipment import Calibration, Instrument, Material, MethodEdition, Solution
from assaywright.records.models.events import Event, Head
from assaywright.records.models.lots import Bottle, EnteredCharacteristic, Investigation, Lot, Sample
from assaywright.records.models.people import Person
from assaywright.records.models.products import Product, ProductEdition

__all__ = [
    "AcceptedRemark", "Accreditation", "Assay", "Attachment", "Bottle", "Calibration", "Certificate", "Confirmed",
    "Determination", "Enquiry", "EnteredCharacteristic", "Event", "Head", "HistoricResult", "Instrument",
    "Investigation", "KeptReading", "Lot", "Material", "MethodEdition", "Person", "Product", "ProductEdition",
    "Result", "Sample", "Signature", "Solution",
]
