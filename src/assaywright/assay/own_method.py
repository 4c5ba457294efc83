"""A laboratory's own method: read from its file, and told apart from the program's by its name."""

from pathlib import PurePath

from assaywright.assay.editions import earlier_editions
from assaywright.assay.method import FORMAT, Method, library_text, method_names, parse_method
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import shown

ENDING = ".toml"
WORKSHEET = "assaywright worksheet 1"


def own_method(data: bytes, where: str) -> Method:
    """Return the method that a laboratory's own file tells.

    Arguments:
        data: the file's bytes.
        where: the file, for the sentences.

    Raises:
        Refusal: not UTF-8, no method file, one that breaks a rule of method files, or one that bears the name of a
            method of the program and says something else: two methods under one name could not be told apart on a
            certificate.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refusal("the method file is not UTF-8", where=where, remedy="save it as UTF-8") from None
    _check_format(text, where)
    method = parse_method(text, where)
    if method.name in method_names() and not _of_the_program(method.name, text):
        raise Refusal(f"it calls itself '{method.name}', as a method of the program does, and says something else",
                      where=where, remedy="give it a name of its own, at the top and in the worksheet of its example")
    return method


def named_otherwise(method: Method) -> str:
    """Return the clause that says that a method's file does not bear the method's name; empty where it does."""
    file = PurePath(method.where.replace("\\", "/")).name.removesuffix(ENDING)
    return "" if file == method.name else f"the method calls itself '{method.name}', and its file is named '{file}'"


def _of_the_program(name: str, text: str) -> bool:
    """Whether a text is that of one of the program's methods, in any edition that it holds."""
    return any(_lines(text) == _lines(library_text(name, edition)) for edition in ("", *earlier_editions(name)))


def _lines(text: str) -> list[str]:
    """Return the lines, however they end."""
    return text.splitlines()


def _check_format(text: str, where: str) -> None:
    """Refuse a worksheet, a lot or another form in the place of a method; what is no TOML is left to the reader."""
    import tomllib

    try:
        table = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError):
        return
    form = table.get("format")
    if not isinstance(form, str) or form == FORMAT:
        return
    if form != WORKSHEET:
        raise Refusal(f'it is no method file: its format is "{shown(form)}"', where=where,
                      remedy=f'a method file begins with format = "{FORMAT}"')
    if table.get("kind") == "lot":
        raise Refusal("it is a lot file, and no method", where=where, remedy=f"try assaywright evaluate {where}")
    named = table.get("method")
    if not isinstance(named, str):
        raise Refusal("it is a worksheet, and no method", where=where, remedy=f"try assaywright evaluate {where}")
    raise Refusal(f"it is a worksheet, of the method '{shown(named)}'", where=where,
                  remedy=f"for the method try assaywright methods {shown(named)}, for the worksheet assaywright "
                         f"evaluate {where}")
