"""Photos: opened with care, scaled by two points, rectified by four corners."""

from __future__ import annotations

import io
import struct
import zlib

import numpy as np
import pytest
from measuring import measured
from PIL import Image, ImageDraw
from skimage.measure import approximate_polygon, find_contours
from skimage.transform import ProjectiveTransform, warp

from sheetkit.sketch import photo as photos
from sheetkit.sketch.rectify import PhotoRefused, apply, homography, scale_error

QUAD = [(100, 700), (900, 680), (860, 120), (140, 100)]


def encoded(picture: Image.Image, format_: str = "PNG", **options) -> bytes:
    buffer = io.BytesIO()
    picture.save(buffer, format_, **options)
    return buffer.getvalue()


@pytest.fixture
def plain():
    return photos.open_photo(encoded(Image.new("RGB", (1000, 800), "gray")), name="door.png")


def area_and_perimeter(ring: np.ndarray) -> tuple[float, float]:
    after = np.roll(ring, -1, axis=0)
    area = abs(np.sum(ring[:, 0] * after[:, 1] - ring[:, 1] * after[:, 0])) / 2
    return area, float(np.hypot(*(after - ring).T).sum())


def random_view(seed: int):
    """A made-up panel of 400 x 300 mm with two rings, photographed from somewhere."""
    rng = np.random.default_rng(seed)
    width, height = 400.0, 300.0
    rectangle = np.array([[0, 0], [width, 0], [width, height], [0, height]])
    seen = np.array([[350, 1150], [1250, 1150], [1250, 450], [350, 450]], float)
    seen += rng.uniform(-160, 160, (4, 2))
    angles = np.linspace(0, 2 * np.pi, 80, endpoint=False)
    round_ = np.column_stack([np.cos(angles), np.sin(angles)])
    waves = sum(rng.uniform(-6, 6) * np.cos(k * angles + rng.uniform(0, 6)) for k in (2, 3, 4))
    rings = [
        (50 + waves)[:, None] * round_ + [120, 150],
        round_ * rng.uniform(20, 60, 2) + [290, 140],
    ]
    return rectangle, seen, rings


@pytest.mark.parametrize("seed", range(25))
def test_rings_are_recovered_from_random_views(seed, plain):
    rectangle, seen, rings = random_view(seed)
    view = ProjectiveTransform.from_estimate(rectangle, seen)
    blank = photos.open_photo(encoded(Image.new("RGB", (1600, 1600), "gray")), name="view.png")
    rectified = blank.rectified(seen, 400, 300)
    for ring in rings:
        clicked = apply(np.array(rectified.to_shown), view(ring))
        measured = area_and_perimeter(rectified.to_mm(clicked))
        assert measured == pytest.approx(area_and_perimeter(ring), rel=0.005)


@pytest.mark.parametrize("seed", range(3))
def test_the_picture_itself_is_true_to_scale(seed):
    """Draw the rings, photograph them by scikit-image, rectify, and measure the pixels."""
    rectangle, seen, rings = random_view(seed)
    flat = Image.new("L", (3200, 2400), 255)
    pencil = ImageDraw.Draw(flat)
    for ring in rings:
        pencil.polygon([(8 * x, 2400 - 8 * y) for x, y in ring], fill=0)
    to_flat = ProjectiveTransform(np.array([[8, 0, -0.5], [0, -8, 2399.5], [0, 0, 1]]))
    # scikit-image counts from pixel middles
    view = ProjectiveTransform.from_estimate(rectangle, seen - 0.5)
    fine = warp(
        np.asarray(flat) / 255,
        lambda px: to_flat(view.inverse((px - 0.5) / 2)),
        output_shape=(3200, 3200),
        cval=1.0,
        order=1,
    )
    seen_picture = fine.reshape(1600, 2, 1600, 2).mean(axis=(1, 3))
    file = encoded(Image.fromarray((seen_picture * 255).astype(np.uint8)).convert("RGB"))
    rectified = photos.open_photo(file, name="seen.png").rectified(seen, 400, 300)
    shown = np.asarray(Image.open(io.BytesIO(rectified.shown)).convert("L")) / 255
    contours = [c for c in find_contours(shown, 0.5) if len(c) > 60]
    found = []
    for contour in contours:
        smooth = approximate_polygon(contour, 0.6)[:-1]  # the staircase of pixels is too long
        ring = rectified.to_mm(smooth[:, ::-1] + 0.5)
        if ring.min() > 2 and ring[:, 0].max() < 398 and ring[:, 1].max() < 298:
            found.append(area_and_perimeter(ring))
    assert sorted(found) == [
        pytest.approx(true, rel=0.005) for true in sorted(map(area_and_perimeter, rings))
    ]


@pytest.mark.parametrize("seed", range(20))
def test_homography_agrees_with_scikit_image(seed):
    rectangle, seen, rings = random_view(seed)
    reference = ProjectiveTransform.from_estimate(rectangle, seen)
    ours = homography(rectangle, seen)
    assert np.allclose(ours, reference.params / reference.params[2, 2], rtol=1e-6, atol=1e-9)
    assert np.allclose(apply(ours, rings[0]), reference(rings[0]), atol=1e-6)


def test_scale_error_agrees_with_random_clicks():
    corners = np.array(QUAD, float)
    estimate = scale_error(corners, 400, 300, 2.0)
    rng = np.random.default_rng(3)
    rectangle = [(0, 0), (400, 0), (400, 300), (0, 300)]
    true = homography(corners, rectangle)
    px = apply(np.linalg.inv(true), [(0, 0), (100, 0), (300, 300), (400, 300), (0, 225), (0, 300)])
    errors = []
    for _ in range(4000):
        mm = apply(homography(corners + rng.normal(0, 2.0, (4, 2)), rectangle), px)
        errors.append(np.hypot(*(mm[1::2] - mm[::2]).T) / [100, 100, 75] - 1)
    worst = np.std(errors, axis=0).max()
    assert 0.7 * worst < estimate < 1.5 * worst


def test_two_points_set_the_scale_and_its_error(plain):
    scaled = plain.calibrated([(100, 400), (900, 400)], 400.0, click_px=2.0)
    assert scaled.mm_per_px == 0.5
    assert scaled.relative_error == pytest.approx(2 * 2**0.5 / 800)
    assert np.allclose(scaled.to_mm([(0, 800), (1000, 0)]), [(0, 0), (500, 400)])
    assert "1 px = 0.5 mm" in scaled.word and "0.4 %" in scaled.word
    assert "not set" in plain.word


def test_rectified_twice_starts_from_the_photo_again(plain):
    once = plain.rectified(QUAD, 400, 300)
    corners = apply(np.array(once.to_shown), QUAD)
    assert np.allclose(once.to_mm(corners), [(0, 0), (400, 0), (400, 300), (0, 300)], atol=1e-6)
    twice = once.rectified(corners, 400, 300)
    assert twice.mm_per_px == pytest.approx(once.mm_per_px)
    assert twice.size_px == once.size_px


@pytest.mark.parametrize(
    ("corners", "word"),
    [
        ([QUAD[0], QUAD[2], QUAD[1], QUAD[3]], "cross"),
        ([QUAD[0], QUAD[1], (300, 500), QUAD[3]], "inward"),
        ([QUAD[0], QUAD[0], QUAD[2], QUAD[3]], "same place"),
        ([(100, 700), (900, 700), (500, 699), (140, 100)], "line"),
        (QUAD[::-1], "mirrored"),
        (QUAD[:3], "must be 4 points"),
        ([*QUAD[:3], (float("nan"), 1)], "must be 4 points"),
        ("corners", "must be 4 points"),
        (None, "must be 4 points"),
    ],
)
def test_impossible_corners_are_refused(plain, corners, word):
    with pytest.raises(PhotoRefused, match=word):
        plain.rectified(corners, 400, 300)


@pytest.mark.parametrize("size", [(0, 300), (400, -3), (float("nan"), 300), (1e9, 300), ("a", 3)])
def test_impossible_sizes_are_refused(plain, size):
    with pytest.raises(PhotoRefused, match="1 to 20000 mm"):
        plain.rectified(QUAD, *size)


@pytest.mark.parametrize(
    ("points", "distance", "word"),
    [
        ([(100, 100), (100, 100)], 50, "8 px apart"),
        ([(100, 100), (103, 102)], 50, "8 px apart"),
        ([(100, 100)], 50, "must be 2 points"),
        ([(100, 100), (500, 100)], 0, "1 to 20000 mm"),
        ([(100, 100), (500, 100)], float("inf"), "1 to 20000 mm"),
    ],
)
def test_impossible_points_are_refused(plain, points, distance, word):
    with pytest.raises(PhotoRefused, match=word):
        plain.calibrated(points, distance)


def test_exif_orientation_is_honoured():
    picture = Image.new("RGB", (60, 40), "white")
    picture.paste((200, 0, 0), (0, 0, 20, 20))
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned a quarter clockwise
    photo = photos.open_photo(encoded(picture, "JPEG", exif=exif), name="turned.jpg")
    assert photo.size_px == (40, 60)
    shown = Image.open(io.BytesIO(photo.shown))
    assert shown.getpixel((35, 5))[0] > 150 and shown.getpixel((35, 5))[1] < 80
    assert shown.getexif().get(0x0112, 1) == 1


def test_large_photo_is_shrunk_with_a_word():
    photo = photos.open_photo(encoded(Image.new("RGB", (5000, 3000)), "JPEG"), name="big.jpg")
    assert photo.size_px == (2400, 1440)
    assert photo.note == "Shrunk from 5000 x 3000 to 2400 x 1440 px."
    assert len(photo.shown) < 10 * 2**20


def test_a_photo_shrunk_elsewhere_says_from_what():
    photo = photos.open_photo(
        encoded(Image.new("RGB", (2400, 1800)), "JPEG"), shrunk_from=(4000, 3000)
    )
    assert photo.note == "Shrunk from 4000 x 3000 to 2400 x 1800 px."


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "CMYK", "I;16"])
def test_every_kind_of_pixel_is_taken(mode):
    picture = Image.new(mode, (50, 40))
    format_ = "JPEG" if mode == "CMYK" else "PNG"
    photo = photos.open_photo(encoded(picture, format_), name="odd")
    assert Image.open(io.BytesIO(photo.shown)).mode == "RGB"


def test_grey_of_sixteen_bits_keeps_its_shades():
    """A scan as measuring cameras save it: from black to white, not white from 255 on."""
    steps = np.linspace(0, 65_535, 256).astype(np.uint16)
    picture = Image.fromarray(np.tile(steps, (40, 1)))
    assert picture.mode.startswith("I;16")
    photo = photos.open_photo(encoded(picture), name="scan.png")
    grey = np.asarray(Image.open(io.BytesIO(photo.shown)).convert("L"), float).mean(axis=0)
    assert np.abs(grey - np.arange(256)).max() < 3


@pytest.mark.parametrize("size", [(640_000, 100), (10, 3100), (2_000_000, 8)])
def test_a_picture_too_narrow_for_its_length_is_refused(size):
    with pytest.raises(PhotoRefused, match="at most 300 times as long as wide; crop it"):
        photos.open_photo(encoded(Image.new("1", size)), name="strip.png")
    photo = photos.open_photo(encoded(Image.new("1", (10, 3000))), name="strip.png")
    assert photo.size_px == (8, 2400)


@pytest.mark.parametrize("size", [(1, 100_000), (100_000, 1), (7, 7)])
def test_a_picture_too_small_is_refused(size):
    with pytest.raises(PhotoRefused, match="must be at least 8 px"):
        photos.open_photo(encoded(Image.new("L", size)), name="line.png")


def test_a_large_picture_is_shrunk_strip_by_strip_without_a_seam():
    """Beside shrinking it whole, by another way: the same picture."""
    y, x = np.mgrid[0:3100, 0:5300]
    shades = np.stack([x / 5300, y / 3100, 0.5 + 0.5 * np.sin(x / 40 + y / 60)], axis=-1)
    picture = Image.fromarray((255 * shades).astype(np.uint8))
    photo = photos.open_photo(encoded(picture), name="large.png")
    whole = np.asarray(picture.resize(photo.size_px, Image.Resampling.LANCZOS), int)
    made = np.asarray(Image.open(io.BytesIO(photo.shown)), int)
    assert np.abs(made - whole).max() < 12  # JPEG's own
    rows = np.abs(made - whole).mean(axis=(1, 2))
    assert rows.max() < 3 * np.median(rows)


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "P", "LA", "I;16", "1"])
def test_the_largest_picture_takes_little_more_memory_than_itself(tmp_path, mode):
    """64 million pixels, at 4 bytes each in Pillow, in a file of some 200 kB."""
    path = tmp_path / "large.png"
    Image.new(mode, (8000, 8000)).save(path, compress_level=1)
    done = measured(f"from sheetkit.sketch.photo import open_photo; open_photo({str(path)!r})")
    assert done.memory_mb < 420, f"{done.memory_mb:.0f} MB"


def png_bomb(width: int, height: int) -> bytes:
    def chunk(kind: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        )

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(bytes(1000))) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


GOOD = encoded(Image.effect_noise((200, 150), 60).convert("RGB"), "JPEG")


@pytest.mark.parametrize(
    ("content", "word"),
    [
        (b"", "no photo"),
        (b"%PDF-1.7 rust", "no photo"),
        (encoded(Image.new("RGB", (50, 50)), "GIF"), "no photo"),
        (GOOD[: len(GOOD) // 2], "damaged"),
        (GOOD[:40], "no photo|damaged"),
        (encoded(Image.effect_noise((90, 90), 60))[:-2000], "damaged"),
        (png_bomb(9_000, 9_000), "64 million pixels"),
        (png_bomb(60_000, 60_000), "64 million pixels"),
        (png_bomb(2_000_000_000, 2_000_000_000), "64 million pixels|damaged"),
        (encoded(Image.new("RGB", (4, 4))), "at least 8 px"),
        (bytes(photos.LARGEST_BYTES + 1), "at most 40 MB"),
    ],
)
@pytest.mark.filterwarnings("ignore::PIL.Image.DecompressionBombWarning")
def test_bad_files_are_refused_in_words(content, word, tmp_path):
    with pytest.raises(PhotoRefused, match=word) as refused:
        photos.open_photo(content, name="sill.jpg")
    assert refused.value.faults[0].field == "photo sill.jpg"
    (tmp_path / "sill.jpg").write_bytes(content)
    with pytest.raises(PhotoRefused, match=word):
        photos.open_photo(tmp_path / "sill.jpg")


def test_missing_file_and_folder_are_refused(tmp_path):
    with pytest.raises(PhotoRefused, match="no such file"):
        photos.open_photo(tmp_path / "none.jpg")
    with pytest.raises(PhotoRefused, match="folder"):
        photos.open_photo(tmp_path)


def test_what_lies_round_the_sheet_is_seen_first(plain):
    whole = tuple(plain.size_px[k] * plain.mm_per_px for k in (0, 1))
    assert plain.near_mm == ((0, 0), pytest.approx(whole))
    sheet = plain.rectified(QUAD, 400, 300)
    (left, low), (right, high) = sheet.near_mm
    assert left >= max(-300, sheet.origin_mm[0]) - 1e-9 and low >= -300
    assert 400 <= right <= 700 and 300 <= high <= 600
    shown = np.array(sheet.size_px) * sheet.mm_per_px + sheet.origin_mm
    assert right <= shown[0] + 1e-6 and high <= shown[1] + 1e-6
    small = plain.rectified(QUAD, 40, 30)  # the whole picture lies within 300 mm of it
    assert small.near_mm[0] == pytest.approx(small.origin_mm)


def test_photo_is_kept_beside_the_job_with_its_scale(tmp_path, plain):
    job = tmp_path / "job.json"
    photo = plain.rectified(QUAD, 400, 300)
    photo = photo.calibrated([(100, 100), (500, 100)], 210)
    photos.keep(photo, job)
    again = photos.kept(job)
    assert again.mm_per_px == pytest.approx(photo.mm_per_px)
    assert again.origin_mm == pytest.approx(photo.origin_mm)
    assert again.word == photo.word
    photos.keep(None, job)
    assert photos.kept(job) is None
    assert list(tmp_path.iterdir()) == []


def test_where_and_when_it_was_taken_does_not_stay_in_the_photo():
    exif = Image.Exif()
    exif[0x010F] = "camera"
    exif.get_ifd(0x8825)[1] = "N"
    taken = encoded(Image.new("RGB", (300, 200), "gray"), "JPEG", exif=exif, comment=b"at home")
    photo = photos.open_photo(taken)
    assert not Image.open(io.BytesIO(photo.original)).getexif()
    assert b"camera" in taken and b"camera" not in photo.original
    assert b"at home" in taken and b"at home" not in photo.original
    bare = encoded(Image.new("RGB", (300, 200), "gray"), "JPEG")
    assert photos.open_photo(bare).original == bare
