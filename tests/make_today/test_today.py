"""A day's plan from the player's folder: the log, the tunes, the template."""

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

import pytest

from chartkit.errors import ChartFaults, OutputError, RequestError
from chartkit.make_today import Asked, Named, content_hash, today_plan
from chartkit.practice.entry import Entry
from chartkit.practice.growth import parts
from chartkit.practice.item import entries_of
from chartkit.practice.log import open_log
from chartkit.reader import parse
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName
from chartkit.transpose import transpose_to

DAY = date(2026, 3, 1)
AT = datetime(2026, 3, 1, 18, tzinfo=UTC)

TEXT = """\
Title: {title}
Key: F major
Tempo: {tempo}

[A]
| Gm7 | C7 | F6 | D7b9 |

[B]
| Cm7 | F7 | Bb6 | C7 |
"""


def chart_of(title="Small Hours", tempo=120):
    return parse(TEXT.format(title=title, tempo=tempo), title).chart


DEMO = Named(chart_of("A Demo"), None)


@pytest.fixture
def player(own_home):
    """Ask for days; the charts lie on shelves of their own."""

    class Player:
        def __init__(self):
            self.shelf = {}
            self.home = own_home

        def named(self, title, tempo=120):
            self.shelf[title] = chart_of(title, tempo)
            return Named(self.shelf[title], title)

        def load(self, path):
            try:
                return self.shelf[path]
            except KeyError:
                raise OutputError(f"cannot read {path}") from None

        def today(self, *named, day=DAY, player="me", keep=True, **asked):
            return today_plan(
                own_home,
                day,
                self.load,
                DEMO,
                Asked(named=named, **asked),
                player=player,
                keep=keep,
            )

        def note(self, items, result="clean", player="me", day=DAY):
            with open_log(own_home) as log:
                log.record([e for i in items for e in entries_of(i, player, day, AT, result)])

    return Player()


def tunes(today):
    return {item.tune for item in today.plan.items} - {None}


def test_on_an_empty_home_a_demo_stands_in_and_it_is_said(player):
    today = player.today()
    assert tunes(today) == {"a-demo"}
    assert today.news == ("no tune of yours is under way, so a demo tune stands in: A Demo",)
    with open_log(player.home) as log:
        assert log.under_way("me") == ()


def test_a_named_tune_is_taken_up_and_is_todays(player):
    assert tunes(player.today(player.named("One"))) == {"one"}
    assert tunes(player.today()) == {"one"}
    assert tunes(player.today(player.named("Two"))) == {"two"}
    assert tunes(player.today()) == {"two"}
    with open_log(player.home) as log:
        assert log.under_way("me") == ("one", "two")


def test_today_is_the_same_day_whatever_is_noted(player):
    first = player.today(player.named("One"))
    player.note(first.plan.items)
    assert player.today().plan == first.plan
    assert player.today(day=DAY + timedelta(days=1)).plan.items != first.plan.items


def test_without_keeping_nothing_is_kept(player):
    player.today(player.named("One"), keep=False)
    with open_log(player.home) as log:
        assert log.plan("me", DAY) is None


def test_other_minutes_make_another_plan_and_are_kept_for_the_day(player):
    assert player.today(minutes=10).plan.minutes == 10
    longer = player.today(minutes=20)
    assert longer.plan.seconds > 1100
    assert player.today().plan == longer.plan
    assert player.today(day=DAY + timedelta(days=1)).plan.minutes == 10


def test_the_order_is_remembered(player):
    assert player.today().order == "blocked"
    mixed = player.today(order="mixed")
    assert {item.turn for item in mixed.plan.items} == {1, 2}
    assert player.today(day=DAY + timedelta(days=1)).order == "mixed"


def test_a_goal_is_remembered(player):
    tempo = {i.tempo for i in player.today(player.named("One")).plan.items if i.tune}
    assert tempo == {90}
    raised = player.today(player.named("One"), goal=Fraction(160))
    assert {i.tempo for i in raised.plan.items if i.tune} == {120}
    again = player.today(day=DAY + timedelta(days=1))
    assert {i.tempo for i in again.plan.items if i.tune} == {120}


def test_a_goal_is_for_a_tune(player):
    with pytest.raises(RequestError, match="name its file"):
        player.today(goal=Fraction(100))


def test_a_chart_that_has_gone_is_said_so_and_the_others_stay(player):
    player.today(player.named("One"), player.named("Two"))
    del player.shelf["One"]
    today = player.today(day=DAY + timedelta(days=1))
    assert tunes(today) == {"two"}
    (news,) = today.news
    assert news.startswith("the chart of One cannot be read where it was: name its file again")
    assert "`chartkit today --set-aside One`" in news


def test_an_edited_chart_keeps_its_history_and_changes_the_plan(player):
    first = player.today(player.named("One", 120))
    second = player.today(player.named("One", 200))
    assert tunes(second) == tunes(first) == {"one"}
    assert second.plan != first.plan


def test_players_are_kept_apart(player):
    player.today(player.named("One"), player="ann")
    assert tunes(player.today(player="ben")) == {"a-demo"}
    assert tunes(player.today(player="ann")) == {"one"}


def test_the_players_own_template(player):
    player.home.mkdir()
    (player.home / "today.toml").write_text("[shares]\nsolo = 1\n", encoding="utf-8")
    assert {item.activity for item in player.today().plan.items} == {"solo"}
    (player.home / "today.toml").write_text("[shares]\nsolo = no\n", encoding="utf-8")
    with pytest.raises(RequestError, match=r"today\.toml: "):
        player.today()


def test_a_kept_plan_of_another_version_is_made_anew(player):
    first = player.today(player.named("One"))
    with open_log(player.home) as log:
        log.keep_plan("me", DAY, '{"version": 0}')
    assert player.today().plan.items == first.plan.items


def test_lines_that_do_not_exist_are_left_out(player):
    """Where there is no chord there is no line, so a day on such a tune is solos and technique."""
    bare = parse("Title: Bare\nKey: C major\n\n[A]\n| N.C. | N.C. | N.C. | N.C. |\n", "bare").chart
    assert bare is not None
    player.shelf["Bare"] = bare
    today = player.today(Named(bare, "Bare"))
    assert {i.activity for i in today.plan.items if i.tune} == {"solo"}


def test_a_tune_that_has_come_through_is_finished(player):
    named = player.named("One")
    order = [p for p in parts(facts(named)) for _ in range(2)] + ["form"] * 6
    with open_log(player.home) as log:
        tune = log.tune_id(content_hash(named.chart), "One", "One")
        log.start("me", tune, DAY - timedelta(days=99))
        log.record(
            [
                Entry(
                    "me",
                    DAY - timedelta(days=50 - number),
                    AT,
                    "arpeggios",
                    tune,
                    part,
                    "guide tones",
                    tempo=Fraction(120),
                    result="clean",
                )
                for number, part in enumerate(order)
            ]
        )
    player.today()
    with open_log(player.home) as log:
        assert log.finished("me") == ("one",)
        assert log.under_way("me") == ()
    again = player.today()
    assert tunes(again) == {"one"}
    assert again.news == player.today().news
    assert "take up another" in "".join(again.news)
    assert player.today(player.named("Two")).news == ()


def facts(named):
    from chartkit.make_today import tune_facts

    return tune_facts(named.chart, "one")


def test_the_content_hash_is_of_the_music_and_not_of_the_spelling():
    one = chart_of()
    spaced = parse(TEXT.format(title="Small Hours", tempo=120).replace("| ", "|   "), "x").chart
    assert content_hash(one) == content_hash(spaced)
    assert content_hash(one) != content_hash(transpose_to(one, Key(NoteName("G"))))


def test_a_faulty_chart_is_as_one_that_has_gone(player):
    player.today(player.named("One"))

    def faulty(_path):
        raise ChartFaults(())

    player.load = faulty
    assert "name its file again" in player.today().news[0]
