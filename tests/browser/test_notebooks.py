"""The notebooks in a real JupyterLab, as a user meets them."""

import statistics
import time

import pytest

NOTEBOOKS = (
    "sketch_patch",
    "trunk_floor_estimate",
    "heat_spread_lesson",
    "heat_spread_class",
    "job_book",
    "method_and_validity",
)

# a cell that fails ends the run
RUN = """() => {
    const { content, sessionContext } = window.jupyterapp.shell.currentWidget;
    const code = content.widgets.filter(cell => cell.model.type === "code");
    const failed = code.some(cell => cell.model.outputs.toJSON().some(output => output.output_type === "error"));
    return sessionContext.session.kernel.status === "idle"
        && (failed || code.every(cell => cell.model.executionCount > 0));
}"""


@pytest.mark.parametrize("name", NOTEBOOKS)
def test_notebook_runs_without_an_error(open_notebook, name):
    page = open_notebook(f"notebooks/{name}.ipynb")
    page.wait_for_function(RUN)
    failed = page.evaluate(
        """() => window.jupyterapp.shell.currentWidget.content.widgets
            .filter(cell => cell.model.type === "code")
            .flatMap(cell => cell.model.outputs.toJSON().filter(output => output.output_type === "error")
                .map(output => `${output.ename}: ${output.evalue} in ${cell.model.sharedModel.source}`))"""
    )
    assert failed == []


def test_a_slider_moves_everything(open_notebook):
    page = open_notebook("notebooks/trunk_floor_estimate.ipynb")
    page.wait_for_function(RUN)
    card = page.locator(".skt-figures [role=listitem]").first
    card.scroll_into_view_if_needed()
    before = card.text_content()
    slider = page.locator('[data-path="patch__margin"] .skf-range')
    slider.first.focus()
    first = int(slider.first.input_value())
    times = []
    for turn in range(20):
        picture = page.locator("svg[role=img]").first
        old = picture.evaluate("node => node.outerHTML")
        start = time.perf_counter()
        page.keyboard.press("ArrowRight" if turn < 10 else "ArrowLeft")
        page.wait_for_function(
            """old => {
                const node = document.querySelector("svg[role=img]");
                return node && node.outerHTML !== old;
            }""",
            arg=old,
            polling=5,
        )
        times.append(time.perf_counter() - start)
        steps = turn + 1 if turn < 10 else 19 - turn
        assert int(slider.first.input_value()) == first + steps, "no press is lost"
        if turn == 9:
            page.wait_for_function(
                """text => document.querySelector(".skt-figures [role=listitem]").textContent !== text""",
                arg=before,
            )
    print(f"slider to picture, median of 20: {1000 * statistics.median(times):.0f} ms")
    # ten steps up and ten back: the card says again what it said
    page.wait_for_function(
        "text => [...document.querySelectorAll('div')].some(d => d.textContent === text)",
        arg=before,
    )
