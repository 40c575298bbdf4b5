"""The page on every screen: sizes, themes, contrast, keyboard, and a file from the disk."""

from __future__ import annotations

from stand.browser_fixtures import browser, desktop, listed, new_page, opened, playing, stand

from chartkit.notate.line import CAUTION
from chartkit.stand.saving import saved_programme

__all__ = ["browser", "desktop", "listed", "new_page", "opened", "playing", "stand"]

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


FITTING = """(() => {
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


def test_everything_fits_the_screen(listed):
    """Nothing to scroll sideways, two lines of music at least, everything large enough to touch."""
    for width, height in SCREENS:
        listed.set_viewport_size({"width": width, "height": height})
        assert listed.see("document.documentElement.scrollWidth") <= width
    listed.keyboard.press(" ")
    listed.until("document.querySelector('div.line')")
    for width, height in SCREENS:
        listed.fit(width, height)
        found = listed.see(FITTING)
        assert found["wide"] <= width
        assert found["tall"] <= height
        assert found["small"] == found["out"] == found["text"] == []
        assert found["lines"] >= 2
        assert found["staff"] >= 20
        assert found["music"] > 0.6


def test_contrast_is_enough(listed):
    """Of text and lines on paper; and ink shows through what lies over it: the wash over the bar
    that sounds, the veil over those outside a loop."""
    for theme, strong in THEMES:
        set_look(listed, theme=theme, strong=strong)
        see_contrast(listed, strong)
        see_through(listed)


def see_contrast(listed, strong):
    colours = listed.see(COLOURS)
    least = 15 if strong else AA_TEXT
    paper = colours["paper"]
    assert all(contrast(colours[name], paper) >= least for name in ("ink", "faint", "pencil"))
    assert contrast(colours["line"], paper) >= AA_PART


def see_through(listed):
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


def test_larger_print_leaves_room_for_the_music(listed):
    """The largest print of all on a small screen: nothing out of it, and music on half of it; in
    every print there is room for the longest caution."""
    for size in (2, 1, 0):
        look = f"JSON.stringify({{ size: {size}, neck: false }})"
        listed.see(f"localStorage.setItem('chartkit-stand', {look})")
        listed.reload()
        listed.see("stand.loaded")
        listed.wait_for_selector("#items li")
        listed.keyboard.press(" ")
        listed.until("stand.music.ready && document.querySelector('div.line')")
        listed.see(f"stand.session.say({CAUTION!r}); stand.session.said = Infinity")
        listed.shows("#words", CAUTION)
        for width, height in ((360, 740), (740, 360), (768, 1024), (1280, 800)):
            listed.fit(width, height)
            assert listed.see("document.documentElement.scrollWidth") <= width
            assert listed.see("document.getElementById('ledge').scrollWidth") <= width
            about = listed.see(
                "(({ scrollHeight, clientHeight }) => scrollHeight - clientHeight)"
                "(document.getElementById('about'))"
            )
            assert about <= 1, (size, width, about)
            if height > width:
                assert listed.see("document.getElementById('music').clientHeight") > height / 2
                staff = "document.querySelector('div.line .staff').getBoundingClientRect().height"
                assert listed.see(staff) > 20


DRAWER = """(() => {
    const drawer = document.getElementById("drawer");
    const box = (one) => one.getBoundingClientRect();
    const shown = [...drawer.querySelectorAll("button, input, select, label")]
        .filter((one) => one.checkVisibility());
    const groups = [...drawer.querySelectorAll("fieldset")];
    return {
        over: drawer.scrollWidth - drawer.clientWidth,
        out: shown.filter((one) => box(one).right > innerWidth).length,
        unused: innerWidth - Math.max(...groups.map((one) => box(one).right)),
    };
})()"""


def test_the_drawer_uses_the_width_it_has(opened):
    """In every print: nothing of it beyond the screen, and no empty columns beside it."""
    opened.keyboard.press("s")
    for size in (0, 1, 2):
        opened.see(f"document.documentElement.dataset.size = '{size}'")
        for width, height in (*SCREENS, (2560, 1440)):
            opened.set_viewport_size({"width": width, "height": height})
            opened.until(f"innerWidth === {width}")
            found = opened.see(DRAWER)
            assert found["over"] <= 0, (size, width, found)
            assert found["out"] == 0, (size, width, found)
            assert found["unused"] < 60, (size, width, found)


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
    opened.until("document.getElementById('neck').ariaLabel === 'On the neck: C7'")


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
