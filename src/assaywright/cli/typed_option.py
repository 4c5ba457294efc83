"""What is typed behind an option: a refusal names the option, and advises nothing that only a file can hold."""

from assaywright.metrology.refusal import Refusal

ONLY_IN_FILES = ", or set decimal_mark"


def of_option(refusal: Refusal, option: str) -> Refusal:
    """Return a refusal as that of an option.

    Arguments:
        refusal: of the text typed.
        option: such as "--uncertainty".

    Example:
        >>> print(of_option(Refusal("no", remedy='write 0.3, or set decimal_mark = "," there'), "--limit"))
        --limit: no; write 0.3.
    """
    remedy = refusal.remedy.partition(ONLY_IN_FILES)[0]
    return Refusal(refusal.what, where=refusal.where, remedy=remedy).at(option)
