"""The bench's equipment, found by the role that readings refer to."""

from assaywright.assay.observations import Balance, Thermometer, Vessel, Worksheet
from assaywright.assay.terms import InputList
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark


class Equipment:
    """The vessels, balances and thermometer of one worksheet, and the inputs gathered from them."""

    def __init__(self, worksheet: Worksheet, inputs: InputList, remarks: list[Remark]) -> None:
        self.worksheet = worksheet
        self.inputs = inputs
        self.remarks = remarks

    def vessel(self, role: str) -> Vessel:
        """Return the vessel of a role; an unknown one is refused."""
        for vessel in self.worksheet.vessels:
            if vessel.role == role:
                return vessel
        raise Refusal(
            f"no vessel is called '{role}'",
            where=f"{self.worksheet.path}: vessels",
            remedy=f"describe it in a table [vessels.{role}]",
        )

    def balance(self, role: str) -> Balance:
        """Return the balance of a role; an unknown one is refused."""
        for balance in self.worksheet.balances:
            if balance.role == role:
                return balance
        raise Refusal(
            f"no balance is called '{role}'",
            where=f"{self.worksheet.path}: balances",
            remedy=f"describe it in a table [balances.{role}]",
        )

    def thermometer(self) -> Thermometer | None:
        """Return the worksheet's thermometer, if it has one."""
        return self.worksheet.thermometers[0] if self.worksheet.thermometers else None
