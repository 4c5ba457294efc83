"""A solution past its date is offered last, marked, and told of once."""

from assaywright.cli.entry import main
from tests.plan.shelves import (
    BALANCE,
    CAUSTIC,
    EIGHT,
    NORMAL_ACID,
    acid,
    planned,
    shelf_of,
    shelf_text,
    vessel,
)

PAST = acid("1.001", relative=0.0001).replace("due = 2027-02-28", "due = 2026-10-31")
GLASS = (vessel("burette", 50), EIGHT, BALANCE)


def test_a_titrant_in_date_ranks_before_a_better_one_that_is_not():
    # the day of the plan is 2026-11-02; the acid known to 0.01 % went out of date on 2026-10-31
    alone = planned(shelf_of(*GLASS, PAST)).options[0]
    plan = planned(shelf_of(*GLASS, NORMAL_ACID, PAST))
    names = [one.setup.titrant.name for one in plan.options]
    assert alone.relative_uncertainty < plan.options[0].relative_uncertainty
    assert names[0] == "hydrochloric acid 1 N"
    assert names == sorted(names, key=lambda name: name != "hydrochloric acid 1 N")
    assert not plan.options[0].held
    assert alone.held[0] == ("hydrochloric acid 1.001 mol/L may be used until 31 October 2026, which is past on that "
                             "day.")


def test_where_all_are_past_their_date_the_table_says_so_and_the_best_does_too(tmp_path, capsys):
    (tmp_path / "shelf.toml").write_text(shelf_text(*GLASS, PAST), encoding="utf-8")
    product = tmp_path / "caustic.toml"
    product.write_text(CAUSTIC.replace("[[char", 'shelf = "shelf.toml"\n[[char', 1), encoding="utf-8")
    assert main(["plan", str(product), "--day", "2026-11-02"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    table, best = text.index("OPTIONS, BEST FIRST"), text.index("THE BEST")
    assert table < text.index("! its result would be held back: hydrochloric acid 1.001 mol/L") < best
    assert "Its result would be held all the same" in text[best:]
    assert "TO KNOW" not in text or "October" not in text[text.index("TO KNOW"):]
    assert main(["guide", str(product), "--day", "2026-11-02"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert text.index("TAKE") < text.index("until 31 October 2026") < text.index("THE BURETTE")
