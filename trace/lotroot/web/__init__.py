"""How does the web application work, and how is a page added?

A request is a scan (POST /scan/<page>, `scans`), a form (`acting`), a command of the API (`api`) or a page.
All of them end in `door.post`; nothing here decides, and nothing here writes but sign-ins.

**An office page** is a module of this package with a blueprint, named in `app.MODULES`:

    blueprint = Blueprint("holds", __name__)
    NAV = (("Holds", "holds.page"),)                      # label and endpoint for the list of pages; a
                                                          # command third: for those who may post it

    @blueprint.get("/holds")
    def page() -> str:
        signed_in()                                       # or somebody(): a person, not just a terminal
        with desk().house.reading() as connection:
            found = standing_holds(connection)
        return render_template("holds.html", **frame(holds=found))

    @blueprint.post("/holds/<int:hold>/release")
    def release(hold: int) -> Response:
        return record(ReleaseHold(hold, ...), url_for("holds.page"), again=lambda errors: ...)

Its template extends base.html, includes `_done.html` after its h1, and begins each form with
`form.head(csrf_token)` of `_form.html`. `who().may(ReleaseHold)` says whether to show a button; the door
decides. Views that take files are marked `@uploads` of `security` (20 MB instead of 1 MB).

**A page that takes scans** also has

    PAGE = Page("moving", meaning, show, "Scan a place, then what you put there.")

`meaning(scene, scanned)` gives `Act(command)`, `Say(...)` or None, or raises any LotrootError; `show(scene)`
gives `Shown(next, {id: html})`. Both are given a `Scene` (see `scene`) and only read. The page's address is
/<name>; its view renders its template with `scan_frame(PAGE, kind="station")`, which holds `scan` and
`fragments`; the template includes `_scan.html` and `_override.html` and puts `fragments["id"]` where they
belong, each a root element with that id.

Settled before a page is asked: badges, SIGN OFF, nobody on duty, command codes read twice. Settled where a
page gave None: UNDO, PRINT AGAIN, HELP, a machine's own label, and any number, which is told what it is.
What a page needs from one scan to the next it puts into `context` (texts, whole numbers, lists), which goes
to the browser and back; whatever must survive a reload or show on another tablet is read from the record.

An error is any LotrootError: `problems` turns it into a page, problem+json or, on a scan, a verdict.
"""
