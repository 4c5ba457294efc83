"""Numbers of worksheets are part of permanent keys, so no two worksheets of a chain may bear the same one."""

from collections.abc import Iterator

from assaywright.assay.observations import Worksheet
from assaywright.assay.troubles import remark
from assaywright.assay.upstream import Upstream
from assaywright.metrology.remarks import Remark


def check_identities(worksheet: Worksheet, upstream: Upstream) -> Iterator[Remark]:
    """Yield a remark for every worksheet of the chain that shares this one's number and is another file."""
    for path, outcome in upstream.evaluated.items():
        if outcome.worksheet.identity == worksheet.identity and outcome.worksheet.digest != worksheet.digest:
            yield remark(
                "one-identity-twice",
                f"{path} bears the number {worksheet.identity} too",
                worksheet.path,
                "give every worksheet a number of its own",
            )
