"""Text that tries to be more than text, for the tests of every output."""

# Markup, attributes, formulas, terminal and page control, line ends, templates.
HOSTILE = (
    '=HYPERLINK("http://example.org/x","ok")<script>alert(\'fleet\')</script>'
    "<img src=x onerror=alert(1)>\"'><b>&amp;{{ 7*7 }}{% raw %}\x1b[2J\x9b31m"
    "\u202egnp.\u2066x\u200b\r\nBEGIN:VALARM\r\nDTSTART:1;x=1+1\t@SUM(A1)\x00\ud83d"
)
STEERING = "\x1b\x9b\x00\u202e\u2066\u200b"
