"""The page: its panels, and what happens when somebody touches them.

Truth is the job in the address and the store; nothing of a job is kept in the page's
framework. Each panel is drawn anew when somebody comes to it.
"""

from typing import Any, Final

import gradio as gr
from fastapi import FastAPI

from calibration.errors import MeasureError
from ui.panels import boards_panel, check_panel, papers_panel, photos_panel
from ui.panels.desk import Desk, display_of, shown
from ui.panels.markup import tag
from ui.panels.parts import Part, Shared, private, web_address
from ui.panels.plainly import refusal
from ui.panels.start import begin, jobs_markup, sample
from ui.panels.theme import theme
from ui.panels.wall import wall_markup
from ui.server.app import listing, version_of
from ui.server.office import Office
from ui.texts import said

TABS: Final = ("photos", "lines", "wall", "boards", "check", "papers")

_GO: Final = (
    "(id) => { if (id) { window.location.assign('/?job=' + encodeURIComponent(id)); } }"
)
_UNIT: Final = (
    "(unit) => {{ import('{web}').then((m) => m.remember('unit', unit)); return unit; }}"
)
_LEAVE: Final = (
    "async (...inputs) => {{ const m = await import('{web}'); m.remember('tab', '{tab}'); "
    "await m.leaveLines(); return inputs; }}"
)
"""The drawing saves what it holds before another panel reads the job."""

_MANNERS: Final = "() => {{ import('{web}').then((m) => m.manners()); }}"

_ENTER_LINES: Final = (
    "async () => {{ const m = await import('{web}'); m.remember('tab', 'lines'); "
    "const place = document.querySelector('#pm-lines'); if (place) await m.lines(place); }}"
)


def mount(app: FastAPI, office: Office) -> FastAPI:
    """Put the panels behind a server's own routes.

    Parameters
    ----------
    app : FastAPI
    office : Office

    Returns
    -------
    FastAPI
    """
    demo = build(Desk(office))
    demo.queue(default_concurrency_limit=4, max_size=200, api_open=False)
    gr.mount_gradio_app(
        app,
        demo,
        path="/",
        footer_links=[],
        run_history=False,
        ssr_mode=False,
        pwa=False,
        mcp_server=False,
        enable_monitoring=False,
        theme=theme(),
        css=listing("web")["page.css"].read_text("utf-8"),
        head=_palette(),
    )
    return app


def build(desk: Desk) -> gr.Blocks:
    """Return the page.

    Parameters
    ----------
    desk : Desk

    Returns
    -------
    gradio.Blocks
    """
    demo: gr.Blocks
    with gr.Blocks(title=said("page", "title"), analytics_enabled=False) as demo:
        # A hidden box and no session state: it survives a restart of the server.
        job = gr.Textbox(visible="hidden", elem_id="pm-job", label="job")
        head = gr.HTML(elem_id="pm-head")
        unit = gr.Radio(
            [(said("page", "mm"), "mm"), (said("page", "feet"), "ft-in")],
            value="mm",
            label=said("page", "unit"),
            container=False,
            visible=False,
            elem_id="pm-unit",
        )
        with gr.Column(visible=False, elem_id="pm-first") as first:
            jobs_list = _start(desk, job)
        with gr.Column(visible=False, elem_id="pm-work") as work:
            shared = Shared(desk, job, unit)
            tabs = _tabs(shared)
        unit.input(None, unit, unit, js=_UNIT.format(web=web_address()), **private())
        _loading(demo, desk, (job, head, first, work, jobs_list, tabs, unit))
        demo.load(None, None, None, js=_MANNERS.format(web=web_address()), **private())
    return demo


def _start(desk: Desk, job: gr.Textbox) -> gr.HTML:
    with gr.Column(elem_classes="pm-sheet"):
        title = gr.Textbox(label=said("start", "title"), max_length=200, elem_id="pm-title")
        with gr.Row():
            new = gr.Button(said("start", "new"), variant="primary", elem_id="pm-new")
            house = gr.Button(said("start", "sample"), elem_id="pm-sample")
    told = gr.HTML()
    search = gr.Textbox(label=said("start", "search"), elem_id="pm-search")
    jobs_list = gr.HTML(elem_id="pm-jobs")

    def create(text: str) -> tuple[str, str]:
        try:
            return begin(desk.office, text or ""), ""
        except MeasureError as error:
            return "", refusal(error)

    def open_sample() -> tuple[str, str]:
        try:
            return sample(desk.office), ""
        except MeasureError as error:
            return "", refusal(error)

    def find(words: str) -> str:
        return shown(lambda: jobs_markup(desk.office, words or ""))

    for event, act, given in (
        (new.click, create, title),
        (title.submit, create, title),
        (house.click, open_sample, None),
    ):
        event(act, given, [job, told], **private()).then(None, job, None, js=_GO)
    search.input(find, search, jobs_list, show_progress="hidden", **private())
    return jobs_list


def _tabs(shared: Shared) -> gr.Tabs:
    tabs: gr.Tabs
    with gr.Tabs(elem_id="pm-tabs") as tabs:
        with gr.Tab(said("tabs", "photos"), id="photos") as photos:
            photos_panel.build()
        with gr.Tab(said("tabs", "lines"), id="lines") as lines:
            photos_panel.build_lines()
        with gr.Tab(said("tabs", "wall"), id="wall") as wall:
            walls = gr.HTML(elem_id="pm-walls")
        with gr.Tab(said("tabs", "boards"), id="boards") as boards:
            boards_part = boards_panel.build(shared)
        with gr.Tab(said("tabs", "check"), id="check") as check:
            check_part = check_panel.build(shared)
        with gr.Tab(said("tabs", "papers"), id="papers") as papers:
            papers_part = papers_panel.build(shared, boards_part.book)

    parts = {
        "wall": _walls(shared, walls),
        "boards": boards_part,
        "check": check_part,
        "papers": papers_part,
    }
    chosen = {"wall": wall, "boards": boards, "check": check, "papers": papers}
    for name, part in parts.items():
        _on_coming(chosen[name], name, part)
    photos.select(None, None, None, js=_leaving("photos"), **private())
    lines.select(None, None, None, js=_ENTER_LINES.format(web=web_address()), **private())
    redrawn = (
        (parts["wall"].show, parts["wall"].inputs, walls),
        (boards_part.result, boards_part.place, boards_part.drawn),
    )
    for act, given, drawn in redrawn:
        shared.unit.change(act, given, drawn, **private())
    return tabs


def _on_coming(tab: gr.Tab, name: str, part: Part) -> None:
    """Draw a panel anew when somebody comes to it."""
    tab.select(part.show, part.inputs, part.outputs, js=_leaving(name), **private())


def _leaving(tab: str) -> str:
    return _LEAVE.format(web=web_address(), tab=tab)


def _walls(shared: Shared, drawn: gr.HTML) -> Part:
    def show(job_id: str, unit: str) -> str:
        office = shared.desk.office
        return shown(lambda: wall_markup(office, office.open(job_id), display_of(unit)))

    return Part(show, [shared.job, shared.unit], [drawn])


def _loading(demo: gr.Blocks, desk: Desk, parts: tuple[Any, ...]) -> None:
    """Come back to the job that the address names."""
    locked = desk.office.settings.password_hash is not None

    def load(request: gr.Request) -> tuple[Any, ...]:
        asked = dict(request.query_params)
        job_id = asked.get("job", "")
        unit = str(display_of(asked.get("unit")))
        tab = asked.get("tab", TABS[0])
        try:
            opened = desk.open(job_id) if job_id else None
            told = ""
        except MeasureError as error:
            opened, told = None, refusal(error)
        listed = "" if opened else shown(lambda: jobs_markup(desk.office, ""))
        return (
            opened.id if opened else "",
            _head(opened.title if opened else "", in_job=bool(opened), locked=locked)
            + told,
            gr.Column(visible=opened is None),
            gr.Column(visible=opened is not None),
            listed,
            gr.Tabs(selected=tab if tab in TABS else TABS[0]),
            gr.Radio(value=unit, visible=opened is not None),
        )

    demo.load(load, None, list(parts), show_progress="hidden", **private())


def _head(title: str, *, in_job: bool, locked: bool = False) -> str:
    back = tag("a", said("page", "jobs"), href="/") if in_job else None
    name = tag(
        "h1", (title or said("start", "untitled")) if in_job else said("page", "title")
    )
    leave = tag("button", said("page", "leave"), type="submit")
    out = tag("form", leave, method="post", action="/logout") if locked else None
    alone = "" if in_job else " pm-alone"
    return str(tag("header", back, name, out, class_=f"pm-head{alone}"))


def _palette() -> str:
    """Return the link to the palette, which drawing and log-in share.

    As a link: the framework puts a prefix before every rule of its own style, and in a
    rule for dark screens that loses the root element.
    """
    href = f"/files/drawing/{version_of('drawing')}/palette.css"
    return str(tag("link", rel="stylesheet", href=href))
