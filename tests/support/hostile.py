"""Words that a person, or someone who means harm, may put into a name or a note."""

MARKUP = '<script>alert(1)</script><img src=x onerror="alert(2)"><iframe src="https://example.invalid"></iframe>'
MARKDOWN = "**bold** [touch me](javascript:alert(1)) ![](https://example.invalid/x.png) :red[x] $\\frac{1}{2}$ `code` # head\n- item"
TEMPLATE = "{{constructor.constructor('alert(1)')()}} ${7*7} <%= 7*7 %> %s %(x)s {0.__class__}"
VEGA = "datum['x'] + scale('y', 1) \\n '\"; toBoolean(1) //"
TYPST = '#import "@preview/x:1.0": * #eval("1+1") #image("/etc/passwd") $x^2$ *strong* _soft_ <label> @ref // gone \\ #read("x")'
FORMULA = '=HYPERLINK("https://example.invalid","touch")'
COMMAND = "+cmd|' /C calc'!A0"
CONTROLS = "bell\x07 escape\x1b[31m null-like\x01 \x0b\x0c\x7f next\x85line\u2028para\u2029"
RIGHT_TO_LEFT = "invoice\u202egnp.exe \u2067\u05d0\u05d1\u05d2\u2069 \u200f"
EMOJI = "🚤🔧 👩🏽‍🔧 é e\u0301 \U0001f1ec\U0001f1e7"
QUOTES = "'); drop table boats; -- \" ' ` ; , \t |"
LONG = "wordless " * 11_000

EVERY = (MARKUP, MARKDOWN, TEMPLATE, VEGA, TYPST, FORMULA, COMMAND, CONTROLS, RIGHT_TO_LEFT, EMOJI, QUOTES, LONG)
