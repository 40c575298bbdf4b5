"""Modules as one script."""

import pytest

from chartkit.errors import OutputError
from chartkit.stand.bundle import bundled

PAGE = {
    "main.js": 'import {\n  one,\n  Two as Second,\n} from "./a.js";\n'
    'import { three } from "./b.js";\none(three);\n',
    "a.js": 'import { three } from "./b.js";\n\nexport function one() {}\nexport class Two {}\n',
    "b.js": '/** @typedef {import("./a.js").Two} Two */\nexport const three = "</script><!--";\n'
    "export async function four() {}\nfunction five() {}\n",
}


def bundle(**changed):
    page = PAGE | {name.replace("_", "."): text for name, text in changed.items()}
    return bundled("main.js", page.__getitem__)


def test_a_module_comes_after_what_it_imports_and_once():
    script = bundle()
    assert script.count("export") == 0
    assert script.count("function four") == 1
    assert script.index("function four") < script.index("function one") < script.index("one(three)")
    assert "const { three } = module0;" in script
    assert "const { one, Two: Second } = module1;" in script
    assert "return { three, four };" in script
    assert "five }" not in script


def test_no_text_of_a_module_ends_the_script():
    assert "</script" not in bundle()
    assert "<!--" not in bundle()


@pytest.mark.parametrize(
    "text",
    [
        'import all from "./b.js";\n',
        'import * as all from "./b.js";\n',
        'import { three } from "https://example.org/b.js";\n',
        'import { three } from "../b.js";\n',
        'import "./b.js";\n',
        "export default 3;\n",
        "export let six = 6;\n",
        "const six = 6;\nexport { six };\n",
        'const later = await import("./b.js");\n',
    ],
)
def test_what_is_not_understood_is_refused(text):
    with pytest.raises(OutputError, match="cannot be put into one file"):
        bundle(a_js=text)


def test_a_circle_is_refused():
    with pytest.raises(OutputError, match=r"circle: main.js a.js b.js a.js"):
        bundle(b_js='import { one } from "./a.js";\n')
