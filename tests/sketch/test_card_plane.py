"""Cards seen by cameras of known pose and lens: scale, error told, and what is refused."""

from __future__ import annotations

import io

import made_photo
import numpy as np
import pytest
import shapely
from made_photo import Camera, Lying, Scene
from PIL import Image

from sheetkit.sketch import photo as photos
from sheetkit.sketch.card_plane import plane
from sheetkit.sketch.lens import bent, straight
from sheetkit.sketch.measuring_card import ALL, MARK_MM, Card, Mark, card_of, cells, seen
from sheetkit.sketch.rectify import PhotoRefused, apply, ratio_seen

ONE, TWO = ALL[0], ALL[1]


def corners_on_panel(lying: Lying) -> dict[int, np.ndarray]:
    turn = np.radians(lying.turn)
    forth = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    return {
        number: corners * lying.scale @ forth.T + lying.at
        for number, corners in lying.card.marks().items()
    }


def marks_of(camera: Camera, *lying: Lying, spread_px: float = 0.0, seed: int = 0) -> list[Mark]:
    random = np.random.default_rng(seed)
    return [
        Mark(number, tuple(map(tuple, camera.to_px(at) + random.normal(0, spread_px, (4, 2)))))
        for one in lying
        for number, at in corners_on_panel(one).items()
    ]


def scale_errors(told, camera: Camera, box, seed: int = 0) -> np.ndarray:
    """Relative errors of 300 lengths of some 80 mm that lie in `box` and in the picture."""
    random = np.random.default_rng(seed)
    one = random.uniform(box[:2], box[2:], (300, 2))
    other = one + random.normal(0, 60, (300, 2))
    px = [camera.to_px(points) for points in (one, other)]
    inside = np.all([((p > 0) & (p < camera.size)).all(axis=1) for p in px], axis=0)
    mm = [apply(np.array(told.to_mm), told.straight(p)) for p in px]
    true = np.hypot(*(one - other).T)
    return (np.hypot(*(mm[0] - mm[1]).T) / true - 1)[inside & (true > 20)]


def test_each_mark_is_told_apart_in_a_print_of_its_own():
    for card in ALL:
        sheet = np.full((1200, 1000), 255, np.uint8)
        for number, corners in card.marks().items():
            left, bottom = np.round(corners[0] * 3).astype(int)
            black = np.kron(cells(number), np.ones((12, 12))).astype(bool)
            sheet[1100 - bottom - 96 : 1100 - bottom, 50 + left : 146 + left][black] = 0
        found = seen(sheet)
        assert [mark.number for mark in found] == list(card.marks())
        for mark in found:
            left, bottom = np.round(card.marks()[mark.number][0] * 3).astype(int)
            true = np.array([(0, 0), (96, 0), (96, -96), (0, -96)]) + (50 + left, 1100 - bottom)
            assert (
                np.abs(np.array(mark.corners) - true).max() < 0.2
            )  # older readers: an eighth of a pixel off
    assert card_of(len(ALL) * 6) is None
    assert MARK_MM == 32.0


@pytest.mark.parametrize("lens", [-0.1, 0.07])
def test_straight_undoes_bent(lens):
    size = (2000, 1500)
    points = np.random.default_rng(0).uniform((0, 0), size, (200, 2))
    assert np.abs(straight(bent(points, lens, size), lens, size) - points).max() < 1e-6


@pytest.mark.parametrize("seed", range(12))
def test_scale_of_a_hidden_camera_is_true_near_the_card(seed):
    random = np.random.default_rng(seed)
    camera = Camera(
        away=random.uniform(600, 1300),
        tilt=random.uniform(-35, 35),
        side=random.uniform(-30, 30),
        roll=random.uniform(-90, 90),
        focal=random.uniform(0.65, 1.1),
        lens=(random.uniform(-0.08, 0.06), 0.0),
    )
    card = Lying(ONE, at=(random.uniform(60, 300), 50.0), turn=random.uniform(-30, 30))
    told = plane(marks_of(camera, card, spread_px=0.08, seed=seed), camera.size)
    errors = scale_errors(told, camera, (0, 0, 600, 400))
    assert abs(errors.mean()) < 0.005
    assert np.sqrt((errors**2).mean()) < 1.5 * told.error
    assert told.error < told.far_error


def test_errors_told_cover_the_errors_made():
    camera = Camera(lens=(-0.06, 0.01))
    covered = []
    for seed in range(40):
        told = plane(marks_of(camera, Lying(ONE), spread_px=0.15, seed=seed), camera.size)
        errors = scale_errors(told, camera, (-100, -100, 500, 600))
        covered.append(np.mean(np.abs(errors) < 2 * told.error))
    assert np.mean(covered) >= 0.95  # two standard errors
    assert np.mean(covered) < 1 or told.error < 0.01  # and not by telling too much


def test_two_cards_share_one_plane_and_mend_the_lens():
    camera = Camera(lens=(-0.1, 0.0))
    lying = (Lying(ONE), Lying(TWO, at=(420, 60), turn=-12))
    told = plane(marks_of(camera, *lying, spread_px=0.05), camera.size)
    alone = plane(marks_of(camera, lying[0], spread_px=0.05), camera.size)
    assert {card.number for card in told.cards} == {1, 2}
    assert told.far_error < alone.far_error / 2
    assert np.abs(scale_errors(told, camera, (0, 0, 600, 400))).max() < 0.002


@pytest.mark.parametrize("scale", [0.98, 1.02])
def test_a_card_of_another_scale_is_named(scale):
    camera = Camera(lens=(-0.05, 0.0))
    odd = Lying(TWO, at=(420, 60), turn=-12, scale=scale)
    with pytest.raises(PhotoRefused, match=r"card [12].*in scale beside card [12]"):
        plane(marks_of(camera, Lying(ONE), odd, spread_px=0.05), camera.size)


def test_a_card_printed_small_is_set_right_by_its_square():
    camera = Camera()
    told = plane(marks_of(camera, Lying(ONE, scale=0.97)), camera.size, square_mm=97.0)
    assert np.abs(scale_errors(told, camera, (0, 0, 600, 400))).max() < 0.001
    plain = plane(marks_of(camera, Lying(ONE, scale=0.97)), camera.size)
    assert abs(scale_errors(plain, camera, (0, 0, 600, 400)).mean() - 1 / 0.97 + 1) < 0.001


def test_a_square_measured_later_scales_the_photo_anew_and_is_kept(tmp_path):
    camera = Camera(size=(1200, 900))
    small = Scene((Lying(ONE, scale=0.96),)).photo(camera)
    photo = photos.open_photo(small).by_card()
    assert photo.square_mm == 100
    mended = photo.with_square(96.0)
    assert mended.square_mm == 96
    points = photo.to_mm([(300, 300), (900, 500)]), mended.to_mm([(300, 300), (900, 500)])
    lengths = [
        float(np.hypot(*(two - one))) / scale
        for (one, two), scale in zip(points, (1, 0.96), strict=True)
    ]
    assert lengths[0] == pytest.approx(lengths[1], rel=0.002)
    photos.keep(mended, tmp_path / "job.json")
    assert photos.kept(tmp_path / "job.json").square_mm == 96
    with pytest.raises(PhotoRefused, match="must be 80 to 120 mm"):
        mended.with_square(70)
    assert (
        mended.calibrated([(100, 100), (500, 100)], 210).square_mm is None
    )  # two points go before it
    plain = photos.open_photo(small)
    assert plain.square_mm is None
    with pytest.raises(PhotoRefused, match="none seen"):
        plain.with_square(100)


def test_a_mark_seen_wrong_is_left_out():
    camera = Camera(lens=(-0.05, 0.0))
    marks = marks_of(camera, Lying(ONE), spread_px=0.05)
    off = np.array(marks[2].corners) + (9, -4)
    marks[2] = Mark(marks[2].number, tuple(map(tuple, off)))
    told = plane(marks, camera.size)
    assert "1 of 6 marks" in told.note
    assert np.abs(scale_errors(told, camera, (0, 0, 600, 400))).max() < 0.006


@pytest.mark.parametrize("roll", [0, 90, 180, -80])
def test_the_photos_top_stays_on_top(roll):
    camera = Camera(roll=3, tilt=10, side=0)
    told = plane(marks_of(camera, Lying(ONE, at=(250, 100), turn=roll)), camera.size)
    low, high = apply(np.array(told.to_mm), told.straight(np.array([[1000, 900], [1000, 600]])))
    assert abs(high[0] - low[0]) < high[1] - low[1]


@pytest.mark.parametrize(
    ("marks", "square", "word"),
    [
        ([], 100, "none seen"),
        ([Mark(7000, ((0, 0), (9, 0), (9, 9), (0, 9)))], 100, "none seen"),
        ("twice", 100, "card 1: got seen twice"),
        ("one", 60, "square: got 60 mm"),
        ("one", float("nan"), "square: got nan"),
    ],
)
def test_what_sets_no_scale_is_said(marks, square, word):
    if marks in ("one", "twice"):
        marks = marks_of(Camera(), Lying(ONE)) * (1 if marks == "one" else 2)
    with pytest.raises(PhotoRefused, match=word):
        plane(marks, (2000, 1500), square_mm=square)


RUST = shapely.Point(430, 190).buffer(55).union(shapely.Point(500, 240).buffer(35))


@pytest.mark.parametrize(
    "scene",
    [
        Scene((Lying(ONE),), (RUST,), light="from the side", shadow=True),
        Scene((Lying(Card(1, "letter"), turn=15, at=(60, 10)),), (RUST,), light="dim", glare=True, noise=7),
        Scene((Lying(ONE),), (RUST,), hidden=(shapely.box(0, 0, 70, 80),)),
    ],
    ids=["shadow", "dim, glare, noise", "a hand over a mark"],
)  # fmt: skip
def test_a_photo_is_true_to_scale_without_a_click(scene, tmp_path):
    camera = Camera(size=(1200, 900), lens=(-0.06, 0.0))
    photo = photos.open_photo(scene.photo(camera)).by_card()
    picture = np.asarray(Image.open(io.BytesIO(photo.shown)).convert("RGB")).astype(float)
    dark = picture.sum(axis=2) < 0.7 * np.median(picture.sum(axis=2))  # half way
    spot = photo_px(photo, scene, camera, RUST)
    measured = dark & spot
    area = measured.sum() * photo.mm_per_px**2
    if scene.light == "even":  # elsewhere no one shade parts rust from paint
        assert area == pytest.approx(RUST.area, rel=0.01)
    outline = np.array(RUST.exterior.coords)
    shown = _shown(photo, camera.to_px(outline))
    told = shapely.Polygon(photo.to_mm(shown))
    assert told.area == pytest.approx(RUST.area, rel=0.01)
    assert told.length == pytest.approx(RUST.length, rel=0.005)
    photos.keep(photo, tmp_path / "job.json")
    again = photos.kept(tmp_path / "job.json")
    assert (again.mm_per_px, again.word, again.lens) == (photo.mm_per_px, photo.word, photo.lens)


def _shown(photo, original_px: np.ndarray) -> np.ndarray:
    scaled = original_px * (photo.original_px[0] / 1200)
    return apply(np.array(photo.to_shown), straight(scaled, photo.lens, photo.original_px))


def photo_px(photo, scene, camera, shape) -> np.ndarray:
    """Return which pixels of the shown picture lie within 12 mm of a shape of the panel."""
    ring = np.array(shape.buffer(12).exterior.coords)
    outline = shapely.Polygon(_shown(photo, camera.to_px(ring)))
    columns, rows = np.meshgrid(*(np.arange(side) + 0.5 for side in photo.size_px))
    return shapely.contains_xy(outline, columns, rows)


def test_the_made_up_camera_undoes_itself():
    camera = Camera(lens=(-0.08, 0.01), tilt=40, side=-20)
    points = np.random.default_rng(1).uniform((0, 0), (600, 400), (50, 2))
    assert np.abs(camera.to_mm(camera.to_px(points)) - points).max() < 1e-6
    assert made_photo.MARK_MM == 32


def test_a_papers_ratio_is_seen_in_its_perspective():
    swapped = []
    for seed in range(100):
        random = np.random.default_rng(seed)
        camera = Camera(
            away=random.uniform(600, 1200),
            tilt=random.uniform(-45, 45),
            side=random.uniform(-40, 40),
            focal=random.uniform(0.65, 1.3),
        )
        width, height = (297, 210) if seed % 2 else (210, 297)
        x, y = random.uniform((100, 50), (350, 200))
        sheet = np.array([(x, y), (x + width, y), (x + width, y + height), (x, y + height)])
        low, high = ratio_seen(camera.to_px(sheet) + random.normal(0, 1.5, (4, 2)), camera.size)
        assert 0.95 * low < width / height < 1.05 * high
        swapped.append(not 0.9 * low < height / width < 1.1 * high)
    assert np.mean(swapped) > 0.85


def test_a_swapped_size_is_asked_about():
    camera = Camera(tilt=15, side=5)
    sheet = np.array([(100, 100), (397, 100), (397, 310), (100, 310)])
    picture = io.BytesIO()
    Image.new("RGB", camera.size, "grey").save(picture, "JPEG")
    photo = photos.open_photo(picture.getvalue())
    corners = camera.to_px(sheet)
    photo.check_ratio(corners, 297, 210)
    with pytest.raises(PhotoRefused, match="swap width and height"):
        photo.check_ratio(corners, 210, 297)
    with pytest.raises(PhotoRefused, match="measure both sides"):
        photo.check_ratio(corners, 900, 210)
