"""Words of the frame around every page, of an empty store, of uncertainty."""

WORDS: dict[str, str] = {
    # Frame of every page
    "app.name": "rideready",
    "nav.label": "Pages",
    "nav.today": "Today",
    "nav.week": "Week",
    "nav.recovery": "Recovery",
    "nav.sessions": "Sessions",
    "nav.circuit": "Circuit",
    "nav.plan": "Plan",
    "nav.tests": "Tests",
    "nav.partner": "Partner",
    "nav.rider": "Rider",
    "nav.more": "More",
    "nav.skip": "Skip to the page",
    "theme.switch": "Switch between light and dark",
    "page.none": "There is no page at {pathname}.",
    "page.none.help": "Go on with one of the pages above.",
    "title.recovery": "Recovery, rideready",
    "title.sessions": "Sessions, rideready",
    "title.session": "Session, rideready",
    "problem.title": "This cannot be shown",
    "problem.unforeseen": "Something went wrong that should not have. The window in which the dashboard was started says more.",
    "address.ignored": "The address asks for something unknown, which was left out: {parts}.",
    # The demo
    "demo.opening": "Reading the simulated sessions: {done} of {total}",
    "demo.leave": "Leave the demo",
    "demo.no_import": "This is the demo. Leave it to bring in your own recordings.",
    "demo.stale": "This page is of a demo that was closed. Reload it.",
    # Nothing there yet
    "empty.title": "No sessions yet",
    "empty.lead": "Bring in what your watch or chest strap recorded, and the recovery after every effort shows up here.",
    "empty.terminal": "From a terminal",
    "empty.terminal.import": "A whole folder, as often as you like; nothing is stored twice:",
    "empty.command.import": "rideready import FOLDER",
    "empty.terminal.demo": "The simulated sessions, in a store of their own:",
    "empty.command.demo": "rideready demo",
    "window.none.title": "When may the season open?",
    "window.none.lead": "The week and the plan lead up to an opening window: an earliest and a likely day. Neither need be sure.",
    "window.none.way": "Say when",
    "none.match": "No recovery matches these filters.",
    "none.match.all": "Show all of them",
    "none.recoveries": "Your sessions hold no recovery yet. One is found where a hard effort ends and you let the "
    "pulse fall for a minute or more: stop, stand or sit still, and keep recording.",
    # Figures to take away
    "csv.save": "Save this table as CSV",
    # Uncertainty
    "interval": "95 % interval",
    "span": "{low} to {high}",
    "no_uncertainty": "uncertainty not known",
}
