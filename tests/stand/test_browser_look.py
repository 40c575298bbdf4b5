"""The page on every screen: sizes, themes, contrast, keyboard, and a file from the disk."""

from __future__ import annotations

import pytest
from stand.browser_fixtures import browser, listed, new_page, opened, playing, stand

from chartkit.stand.saving import saved_programme

__all__ = ["browser", "listed", "new_page", "opened", "playing", "stand"]

SCREENS = ((360, 740), (740, 360), (768, 1024), (1024, 600), (1280, 800), (1920, 1080))

THEMES = [(theme, strong) for theme in ("light", "dark") for strong in (False, True)]

AA_TEXT, AA_PART = 4.5, 3.0
"""Least contrasts of text and of what is needed to operate [WCAG 2.2, 1.4.3 and 1.4.11]."""

LEAST_TOUCH = 44
"""Pixels of what a finger has to hit [WCAG 2.2, 2.5.5, enhanced]."""


def contrast(one, other):
    """Return the contrast of two colours [WCAG 2.2, relative luminance]."""

    def light(colour):
        parts = [value / 255 for value in colour]
        linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts]
        return sum(w * v for w, v in zip((0.2126, 0.7152, 0.0722), linear, strict=True))

    high, low = sorted((light(one), light(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


COLOURS = """(() => {
    const probe = document.createElement("i");
    document.body.append(probe);
    const found = {};
    for (const name of ["paper", "ink", "faint", "line", "pencil"]) {
        probe.style.color = `var(--${name})`;
        found[name] = getComputedStyle(probe).color.match(/\\d+/g).map(Number);
    }
    probe.remove();
    return found;
})()"""


def set_look(page, **look):
    theme, strong = look.get("theme", "light"), look.get("strong", False)
    page.see(
        f"""(() => {{
            document.documentElement.dataset.theme = {theme!r};
            document.documentElement.toggleAttribute("data-strong", {str(strong).lower()});
        }})()"""
    )


@pytest.mark.parametrize(("width", "height"), SCREENS)
def test_everything_fits_the_screen(new_page, stand, width, height):
    """Nothing to scroll sideways, two lines of music at least, everything large enough to touch."""
    page = new_page(viewport={"width": width, "height": height})
    page.goto(stand.address)
    page.see("stand.loaded")
    assert page.see("document.documentElement.scrollWidth") <= width
    page.keyboard.press(" ")
    page.until("document.querySelector('div.line')")
    found = page.see(
        """(() => {
            const box = (one) => one.getBoundingClientRect();
            const all = (found) => [...document.querySelectorAll(found)];
            const shown = all("#ledge button").filter((one) => box(one).width);
            const that = (are) => shown.filter(are).map((one) => one.id);
            return {
                wide: document.documentElement.scrollWidth,
                tall: document.documentElement.scrollHeight,
                small: that((one) => box(one).height < LEAST || box(one).width < LEAST),
                out: that((one) => box(one).right > innerWidth || box(one).bottom > innerHeight),
                text: that((one) => one.scrollWidth > one.clientWidth + 1),
                lines: all("div.line").filter((one) => box(one).bottom <= innerHeight).length,
                music: box(document.getElementById("music")).height / innerHeight,
                staff: box(all("div.line .staff")[0]).height,
            };
        })()""".replace("LEAST", str(LEAST_TOUCH))
    )
    assert found["wide"] <= width
    assert found["tall"] <= height
    assert found["small"] == found["out"] == found["text"] == []
    assert found["lines"] >= 2
    assert found["staff"] >= 20
    assert found["music"] > 0.6


@pytest.mark.parametrize(("theme", "strong"), THEMES)
def test_contrast_is_enough(listed, theme, strong):
    set_look(listed, theme=theme, strong=strong)
    colours = listed.see(COLOURS)
    least = 15 if strong else AA_TEXT
    paper = colours["paper"]
    assert all(contrast(colours[name], paper) >= least for name in ("ink", "faint", "pencil"))
    assert contrast(colours["line"], paper) >= AA_PART


@pytest.mark.parametrize(("theme", "strong"), THEMES)
def test_ink_shows_through_what_lies_over_it(listed, theme, strong):
    """Over the bar that sounds, and in those outside a loop, notes can still be read."""
    set_look(listed, theme=theme, strong=strong)
    colours = listed.see(COLOURS)
    paper, ink, pencil = (colours[name] for name in ("paper", "ink", "pencil"))
    wash, veil = (
        float(
            listed.see(f"getComputedStyle(document.documentElement).getPropertyValue('--{name}')")[
                :-1
            ]
        )
        / 100
        for name in ("wash", "veil")
    )

    def over(colour, cover, share):
        return [a + share * (b - a) for a, b in zip(colour, cover, strict=True)]

    assert contrast(over(ink, pencil, wash), over(paper, pencil, wash)) >= AA_TEXT
    assert contrast(over(ink, paper, veil), paper) >= AA_PART


def test_dark_follows_the_machine_and_the_ink_turns(new_page, stand):
    page = new_page(color_scheme="dark")
    page.goto(stand.address)
    page.see("stand.loaded")
    page.keyboard.press(" ")
    page.until("document.querySelector('div.line')")
    found = page.see(
        """(() => {
            const ink = getComputedStyle(document.querySelector("div.line .staff path")).stroke;
            return { ink, paper: getComputedStyle(document.body).backgroundColor };
        })()"""
    )
    assert found == {"ink": "rgb(236, 236, 236)", "paper": "rgb(17, 17, 17)"}


def test_the_look_is_kept(opened):
    opened.keyboard.press("s")
    opened.get_by_label("Paper").select_option("dark")
    opened.get_by_label("Print").select_option("1")
    opened.get_by_label("Full contrast").check()
    opened.reload()
    opened.see("stand.loaded")
    assert opened.see("({ ...document.documentElement.dataset })") == {
        "theme": "dark",
        "size": "1",
        "strong": "",
    }


@pytest.mark.parametrize(("width", "height"), [(360, 740), (768, 1024)])
def test_larger_print_leaves_room_for_the_music(new_page, stand, width, height):
    """The largest print of all on a small screen: nothing out of it, and music on half of it."""
    page = new_page(viewport={"width": width, "height": height})
    page.goto(stand.address)
    page.see("stand.loaded")
    page.see("localStorage.setItem('chartkit-stand', JSON.stringify({ size: 2, neck: false }))")
    page.reload()
    page.see("stand.loaded")
    page.keyboard.press(" ")
    page.until("stand.music.ready && document.querySelector('div.line')")
    assert page.see("document.documentElement.scrollWidth") <= width
    assert page.see("document.getElementById('ledge').scrollWidth") <= width
    assert page.see("document.getElementById('music').clientHeight") > height / 2
    assert page.see("document.querySelector('div.line .staff').getBoundingClientRect().height") > 20


def test_larger_print_has_larger_music(opened):
    before = opened.see("stand.score.fit.scale")
    opened.keyboard.press("s")
    opened.get_by_label("Print").select_option("2")
    opened.until(f"stand.score.fit.scale > 1.3 * {before}")


def test_everything_has_a_name_and_can_be_reached_by_keys(opened):
    opened.keyboard.press("s")
    nameless = opened.see(
        """[...document.querySelectorAll("button, input, select")].filter((one) => {
            const words = one.getAttribute("aria-label") || one.textContent.trim()
                || one.labels?.[0]?.textContent;
            return one.checkVisibility() && !words;
        }).map((one) => one.outerHTML)"""
    )
    assert nameless == []
    reached = set()
    for _ in range(60):
        opened.keyboard.press("Tab")
        reached.add(opened.see("document.activeElement.id || document.activeElement.className"))
    controls = set(
        opened.see(
            """[...document.querySelectorAll("#stand button, #stand input, #stand select")]
                .filter((one) => one.checkVisibility() && one.tabIndex >= 0 && !one.disabled)
                .map((one) => one.id).filter(Boolean)"""
        )
    )
    assert controls <= reached
    assert "bar" in " ".join(reached)


def test_the_focus_can_be_seen(opened):
    opened.keyboard.press("Tab")
    outline = opened.see("getComputedStyle(document.activeElement).outlineWidth")
    assert float(outline.removesuffix("px")) >= 2


def test_a_touched_control_gives_the_keys_back(opened):
    """After a button was touched the pedal works again."""
    opened.click("#set-up")
    opened.get_by_label("Bass", exact=True).click()
    opened.keyboard.press(" ")
    opened.until("stand.music.playing")


def test_without_motion_where_none_is_wanted(new_page, stand):
    page = new_page(reduced_motion="reduce")
    page.goto(stand.address)
    page.see("stand.loaded")
    moving = page.see(
        """[...document.querySelectorAll("*")].filter((one) => {
            const { transitionDuration, animationName } = getComputedStyle(one);
            return transitionDuration !== "0s" || animationName !== "none";
        }).length"""
    )
    assert moving == 0


def test_bars_are_told_to_those_who_do_not_see_them(opened):
    name = opened.get_attribute('[data-bar="bar-2"]', "aria-label")
    assert name == "Bar 2, section A, C7"


def test_the_neck_follows_the_chords(opened):
    opened.see("stand.session.choose(2)")
    opened.until("stand.session.at === 2 && stand.music.ready")
    opened.until("!document.getElementById('neck').hidden")
    assert opened.get_attribute("#neck", "aria-label") == "On the neck: F major"
    opened.keyboard.press(" ")
    opened.until("document.getElementById('neck').ariaLabel === 'On the neck: C7'", 6)


def test_a_saved_file_plays_without_network(new_page, stand, tmp_path):
    path = tmp_path / "for a student.html"
    path.write_text(saved_programme(stand.desk), encoding="utf-8")
    page = new_page(offline=True)
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(path.as_uri())
    page.see("stand.loaded")
    assert page.locator("#items li").count() == 3
    page.keyboard.press(" ")
    page.until("stand.music.ready")
    page.keyboard.press(" ")
    page.until("stand.music.place >= 1")
    box = page.locator('[data-bar="bar-1"]').bounding_box()
    for _ in range(2):
        page.mouse.click(box["x"] + 40, box["y"] + 40)
    page.until("stand.player.voices.at(-1).stretch.shift > 0")
    page.keyboard.press("+")
    page.shows("#words", "A saved page plays its music as it is.")
    assert not page.locator("#clean").is_visible()
    page.keyboard.press("ArrowRight")
    page.until("stand.session.at === 1")
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
