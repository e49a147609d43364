"""Teams take turns: one whose proof takes long does not keep the others from being looked at."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_random_jobs import CONTROLLER, clock_of, rectangle

from rooflayout.job import Facet, Job, PanelModel, PanelRules
from rooflayout.packing import teams as room
from rooflayout.packing.clearance import Ints, field_of
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.prices import PriceSearch
from rooflayout.packing.rules import models_of, rules_of
from rooflayout.packing.search import NO_WISHES, Packing, Search
from rooflayout.packing.sound import Pricing
from rooflayout.packing.team_rules import teams_of
from rooflayout.wiring.options import StringOption, Supply, TrackerClass


def test_a_team_that_is_never_settled_does_not_hide_the_best(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first team opened, C with 4 x 99 W, is made to come to no end; the others are looked at."""
    models = (
        PanelModel("A", 1000, 500, 100),
        PanelModel("B", 700, 400, 60),
        PanelModel("C", 980, 480, 99),
    )
    job = Job("t", (rectangle("m", 2000, 980),), PanelRules(models, most_models=1))
    own = models_of(job)
    rules = rules_of(job, own, kinds_of(job, own), None)
    fields = (field_of(job, job.facets[0]),)
    settle, stuck = Search.settle, []

    def slow(self: Search, rounds: int | None = None) -> Packing | None:
        first = stuck and stuck[0] is self
        if not stuck or first:
            stuck[:] = [self]
            return None
        return settle(self, rounds)

    monkeypatch.setattr(Search, "settle", slow)
    monkeypatch.setattr(Search, "rows_if_slow", lambda self: None)  # rows alone would find the best of C
    monkeypatch.setattr(room, "dive_roughly", lambda asked, size: None)  # as would a dive
    found = room.search(fields, rules, clock_of(3.0)).packing
    assert found.watts == 3000  # five of B, or three of A; the team of C was never settled
    assert found.bound == 4 * 990  # and still counts


def test_what_is_told_of_a_team_says_nothing_of_the_others() -> None:
    """Two of four models may be used; a roof found at random where the first team is not the best one."""
    sizes = ((1050, 300, 110), (950, 300, 80), (950, 650, 180), (800, 400, 50))
    models = tuple(PanelModel(f"M{n}", *size) for n, size in enumerate(sizes))
    job = Job("t", (rectangle("m", 2800, 1750),), PanelRules(models, most_models=2))
    own = models_of(job)
    rules = rules_of(job, own, kinds_of(job, own), None)
    told: list[tuple[int, int]] = []
    clock = replace(clock_of(20.0), tell=lambda watts, bound: told.append((watts, bound)))
    best = room.search((field_of(job, job.facets[0]),), rules, clock).packing
    assert (best.watts, best.proven) == (15300, True)
    assert len(told) > 2
    assert all(watts <= best.watts <= bound for watts, bound in told)


def test_where_teams_take_time_a_wired_layout_in_rows_comes_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A slanted roof of 12 square metres, six models, one tracker: no team is opened, and panels stand."""
    models = tuple(PanelModel(f"M{i}", 1000 + 83 * i, 500 + 37 * i, 100.0 + 35 * i) for i in range(6))
    nose = Facet("roof", ((0, 0), (5400, 0), (5900, 450), (5900, 1800), (5400, 2250), (0, 2250)))
    job = Job("lorry", (nose,), PanelRules(models))
    monkeypatch.setattr(room.TeamSearch, "_first_bounds", _out_of_time)
    supply = Supply((TrackerClass(CONTROLLER, 1),), tuple(StringOption(m, 0, 2, 4) for m in models))
    own = models_of(job)
    rules = rules_of(job, own, kinds_of(job, own), supply)
    found = room.TeamSearch((field_of(job, nose),), rules, clock_of(), teams_of(rules) or [])
    with pytest.raises(TimeoutError):
        found.run()
    kinds = [rules.kinds[k].model for k, _, _ in found._best or ()]
    assert len(kinds) in (2, 4, 6, 8)
    assert len(set(kinds)) == 1


TWO_ROWS = (
    PanelModel("Long", 1000, 490, 90),
    PanelModel("Wide", 990, 500, 90),
    PanelModel("Odd", 700, 480, 70),
)


def _of_one_model(models: tuple[PanelModel, ...]) -> room.TeamSearch:
    job = Job("t", (rectangle("m", 2000, 980),), PanelRules(models, most_models=1))
    own = models_of(job)
    rules = rules_of(job, own, kinds_of(job, own), None)
    return room.TeamSearch((field_of(job, job.facets[0]),), rules, clock_of(), teams_of(rules) or [])


def test_a_team_has_a_layout_when_it_is_opened_and_the_next_must_reach_it() -> None:
    """Straight down from the prices, before anything is settled."""
    teams = _of_one_model(TWO_ROWS[:1])
    teams._first = (-1,), Search(teams._fields, teams._rules, clock_of())  # some other team came first
    assert teams._open((0,), 10_000).incumbent.watts == 4 * 900
    teams._watts = 4 * 900 + 10
    assert teams._open((0,), 10_000).incumbent.places is None


def test_a_team_with_more_watts_leaves_none_of_those_before_it_to_choose_from() -> None:
    """Four of Odd have 280 W, four of Long and four of Wide 360 W."""
    teams = _of_one_model((*TWO_ROWS[::2], replace(TWO_ROWS[1], width_mm=490)))
    teams._first = (-1,), Search(teams._fields, teams._rules, clock_of())  # some other team came first
    for team, tied in (((1,), [(1,)]), ((0,), [(0,)]), ((2,), [(0,), (2,)]), ((2,), [(0,), (2,)])):
        teams._take(teams._open(team, 10_000), team)
        assert [of for of, _ in teams._tied] == tied
    assert teams.winner == teams._tied[0]


def test_prices_end_at_once_where_no_layout_reaches_the_floor(monkeypatch: pytest.MonkeyPatch) -> None:
    """And are as good as without a floor where one might."""
    sizes = ((1050, 300, 110), (950, 300, 80), (950, 650, 180))
    models = tuple(PanelModel(f"M{n}", *size) for n, size in enumerate(sizes))
    job = Job("t", (rectangle("m", 2100, 1350),), PanelRules(models))
    rules = rules_of(job, models_of(job), kinds_of(job, models_of(job)), None)
    rounds, unpriced = [0], PriceSearch._unpriced

    def counted(self: PriceSearch, pricing: Pricing) -> Ints:
        rounds[0] += 1
        return unpriced(self, pricing)

    monkeypatch.setattr(PriceSearch, "_unpriced", counted)
    found = []
    for floor, answers in ((0, False), (9000, True), (20_000, True)):
        rounds[0] = 0
        search = Search((field_of(job, job.facets[0]),), rules, clock_of(), floor)
        search.begins_with_rows = False
        search.prepare(answers)
        found.append((rounds[0], search.incumbent.bound, search.incumbent.settled()))
    assert found[0] == found[1]
    assert found[1][0] > found[2][0] == 1
    assert [settled for _, _, settled in found] == [False, False, True]


def test_of_teams_with_equal_watts_the_preferred_layouts_are_compared() -> None:
    """Four of Long and four of Wide have 360 W: the lighter ones are taken, whichever team comes first."""
    long, wide, odd = (replace(m, mass_kg=kg) for m, kg in zip(TWO_ROWS, (9.0, 7.0, 5.0), strict=True))
    wide = replace(wide, width_mm=490)
    for models in ((long, wide, odd), (wide, long, odd)):
        teams = _of_one_model(models)
        packing = teams.run()
        assert (packing.watts, packing.proven) == (3600, True)
        used = {teams._rules.kinds[k].model for k, _, _ in packing.places}
        assert {models[number].model for number in used} == {"Wide"}


def test_a_rival_that_is_liked_better_ends_the_wishes() -> None:
    """Four of Long weigh 36 kg. A rival of 28 kg is liked better, one of 36 or 40 kg is not."""
    models = tuple(replace(m, mass_kg=9.0) for m in TWO_ROWS[:1])
    search = _of_one_model(models)._open((0,), 10_000)
    search.settle()
    search.choose()
    own = search.wishes  # unlike, models, panels, mass in g, price, lopsided, shade
    assert own == (0, 1, 4, 36_000, 0, 0, 0)
    for mass_g, known in ((28_000, NO_WISHES), (36_000, own), (40_000, own)):
        search.choose((*own[:3], mass_g, *own[4:]))
        assert search.wishes == known


def test_when_the_teams_are_opened_is_told_once_before_any_is_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    teams, order = _of_one_model(TWO_ROWS), []
    opened, finished = teams._open, teams._finish
    monkeypatch.setattr(teams, "_open", lambda *a: (order.append("open"), opened(*a))[1])

    def finish(opened: Search, team: tuple[int, ...], rounds: int | None = None) -> bool:
        order.append("try")
        return finished(opened, team, rounds) if order.count("try") > 2 else False

    monkeypatch.setattr(teams, "_finish", finish)
    monkeypatch.setattr(teams, "_first_answer", lambda alone: None)
    teams.when_opened = lambda: order.append("told")
    teams.run()
    assert order.count("told") == 1
    assert order.index("told") + 1 == order.index("try")
    assert set(order[: order.index("told")]) == {"open"}


@pytest.mark.parametrize("way", ["rows", "dives"])
def test_layouts_of_opened_teams_come_before_any_is_tried(way: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Four of Long in rows or straight down from the prices, where nothing else looks for a layout."""
    teams, had = _of_one_model(TWO_ROWS), []
    teams._first = (-1,), Search(teams._fields, teams._rules, clock_of())  # some other team came first
    finished = teams._finish

    def finish(opened: Search, team: tuple[int, ...], rounds: int | None = None) -> bool:
        had.append(teams._watts)
        return finished(opened, team, rounds)

    monkeypatch.setattr(teams, "_finish", finish)
    for method in ("_begin_with_rows", "_first_answer"):
        monkeypatch.setattr(teams, method, lambda told: None)
    if way == "rows":
        monkeypatch.setattr(room, "dive_roughly", lambda asked, size: None)
    else:
        monkeypatch.setattr(teams, "_all_opened", lambda line: None)
    assert teams.run().watts == had[0] == 4 * 900


def test_more_watts_elsewhere_leave_none_of_the_teams_that_were_equal_before(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Twelve teams tie at 360 W and one of 400 W takes long; then 390 W are reached elsewhere."""
    best = PanelModel("Best", 1000, 490, 100)
    same = tuple(PanelModel(f"M{n:02}", 1000, 490, 90) for n in range(room.MOST_TIES))
    teams = _of_one_model((best, *same))
    finished, tried = teams._finish, []

    def slow(opened: Search, team: tuple[int, ...], rounds: int | None = None) -> bool:
        tried.append(team)
        return finished(opened, team, rounds) if team != (0,) or tried.count(team) > 1 else False

    monkeypatch.setattr(teams, "_finish", slow)
    monkeypatch.setattr(teams, "_first_answer", lambda alone: None)
    monkeypatch.setattr(room, "dive_roughly", lambda asked, size: None)
    monkeypatch.setattr(Search, "rows_if_slow", lambda self: None)
    monkeypatch.setattr(Search, "_rows_first", lambda self: None)
    teams._reached = lambda: 3900 if len(teams._tied) >= room.MOST_TIES or tried.count((0,)) > 1 else 0
    assert teams.run().bound == 4000
    assert len(tried) == room.MOST_TIES + 2


def _out_of_time(self: room.TeamSearch) -> None:
    raise TimeoutError
