"""rick figure --photo: what is told and kept of a photograph, and what is said of a file that is none."""

import hashlib
import io
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from desk_side import Rick
from found import piece, rows
from pictures import CHERRY, GREY_CARD, WHITE_CARD, encoded, face, saved, with_card
from PIL import Image, ImageCms, ImageOps
from PIL.PngImagePlugin import PngInfo
from stocked import copied, refused

from stock.cli import photo_files, photo_points
from stock.wood.colour import ciede2000, lab_of_light
from stock.wood.face_photo import measure_face

BLANK = (
    "book units metric",
    "add --kind blank --species 'black cherry' --square 51mm --length 330mm --place shed --on 2026-02-02",
)
WOOD = face(700, 1050, 7)
TRUTH = lab_of_light(WOOD[140:560, 210:840].mean((0, 1)))
CARDED = ("--card", "white", "--surface", "planed")


@pytest.fixture
def rick(tmp_path: Path, monkeypatch, capsys) -> Rick:
    return Rick(copied(BLANK, tmp_path / "own" / "book.rick"), monkeypatch, capsys)


@pytest.fixture
def photo(tmp_path: Path) -> str:
    """A face beside a white card, in a folder of its own."""
    (tmp_path / "my pictures").mkdir()
    return str(saved(tmp_path / "my pictures" / "DSC 12.jpg", with_card(WOOD, WHITE_CARD), 1.5, quality=92))


def measured(path: Path):
    return measure_face(photo_files.read(str(path)).picture)


# What is told and kept


def test_what_a_photograph_tells(rick, photo):
    said = rick.done("figure", "1B", "--photo", photo, *CARDED, "--face", "a")
    assert said.out.splitlines()[:5] == [
        "1B face A: photograph DSC 12.jpg",
        "colour: lightness 54, red 19, yellow 29 (CIELAB), give or take 3",
        "  kept, to compare with other planed faces (white card, the top-left corner)",
        "contrast: 2.4 (how far its lightness spreads, of 100)",
        "lines: 7 degrees anticlockwise off the long side; clear (strength 0.96 of 1)",
    ]
    assert "  if that side is true to the piece: rick figure 1B --run-out 8" in said.lines
    assert all(len(line) <= 80 for line in said.lines)
    assert said.err == ""


def test_what_is_kept(rick, photo):
    rick.done("figure", "1B", "--photo", photo, *CARDED, "--face", "a")
    (row,) = rows(rick.book, "look")
    assert ciede2000((row["lab_l"], row["lab_a"], row["lab_b"]), TRUTH) < 1
    assert (row["surface"], row["face"], row["lab_sd"]) == ("planed", "A", pytest.approx(3, abs=0.1))
    assert row["grain_deg"] == pytest.approx(7, abs=0.3)
    assert row["contrast"] == pytest.approx(2.37, abs=0.1)
    assert row["grain_strength"] == pytest.approx(0.96, abs=0.03)
    digest = hashlib.sha256(Path(photo).read_bytes()).hexdigest()
    assert row["photo"] == f"DSC 12.jpg sha256:{digest}"
    assert row["typed"] == {"card": "white card, the top-left corner"}
    assert (row["trait"], row["run_out"], row["ring_deg"]) == (None, None, None)  # a photograph decides nothing
    look = piece(rick.book, "1B").look
    assert look.lab_surface == "planed"
    assert look.traits is None


@pytest.mark.parametrize("words", [["--photo", "{}"], ["--photo={}"]], ids=["apart", "joined"])
def test_no_folder_comes_into_the_book(rick, photo, words):
    rick.done("figure", "1B", *[word.format(photo) for word in words], "--note", "by", "the", "window")
    assert str(Path(photo).parent).encode() not in rick.book.read_bytes()
    entry = rows(rick.book, "entry")[-1]
    assert "DSC 12.jpg" in entry["typed"]
    assert entry["note"] == "by the window"


def test_nobody_quotes_a_name_with_spaces(rick, photo):
    told = rick.done("figure", "1B", "--photo", *photo.split(" "), "--json").json
    assert told["photo"]["file"] == "DSC 12.jpg"


def test_a_photograph_as_json(rick, photo):
    document = rick.done("figure", "1B", "curl", "--photo", photo, *CARDED, "--json").json
    told = document["photo"]
    assert document["traits"] == ["curl"]
    assert told["lab_kept"] is True
    assert told["why_lab_not_kept"] is None
    assert ciede2000(tuple(told["lab"]), TRUTH) < 1
    assert told["card"] == "white card, the top-left corner"
    assert set(told) == {"file", "sha256", "lab", "lab_sd", "card", "lab_kept", "why_lab_not_kept", "surface",
                         "contrast", "grain_deg", "grain_strength"}  # fmt: skip
    assert rick.done("figure", "1B", "curl", "--json").json["photo"] is None


def test_a_dry_run_keeps_nothing(rick, photo):
    said = rick.done("figure", "1B", "--photo", photo, *CARDED, "--dry-run")
    assert "lightness 54" in said.out
    assert rows(rick.book, "look") == []


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (["--surface", "planed"], "without a grey or white card"),
        (["--card", "white"], "only like surfaces are compared: say --surface planed"),
        (["--card", "white", "--surface", "rough"], "a rough face is paler"),
        (["--card", "white", "--surface", "Sanded"], "a sanded face is paler"),
        (["--card", "white", "--surface", "planed", "--face", "butt"], "end grain is darker"),
    ],
)
def test_a_colour_that_cannot_be_compared_is_not_kept(rick, photo, words, why):
    said = rick.done("figure", "1B", "--photo", photo, *words)
    assert f"no colour is kept: {why}" in " ".join(said.out.split())
    (row,) = rows(rick.book, "look")
    assert [row[name] for name in ("lab_l", "lab_a", "lab_b", "lab_sd")] == [None] * 4
    assert row["contrast"] == pytest.approx(2.37, abs=0.1)
    assert piece(rick.book, "1B").look.lab is None


def test_the_rings_of_an_end_are_not_the_grain(rick, photo):
    said = rick.done("figure", "1B", "--photo", photo, "--face", "top")
    assert "on end grain these are the rings" in said.out
    assert rows(rick.book, "look")[0]["grain_deg"] is None


def test_lines_across_are_left_to_the_person(rick, tmp_path):
    path = saved(tmp_path / "a.png", face(600, 900, 88))
    said = rick.done("figure", "1B", "--photo", str(path))
    assert "they run across the piece. Curl? You decide: rick figure 1B curl" in said.out
    assert piece(rick.book, "1B").look.traits is None
    assert "--run-out" not in said.out


@pytest.mark.parametrize("card", ["grey", "Gray card", "18%", "18 %", "18,0 %"])
def test_a_card_as_people_call_it(rick, tmp_path, card):
    path = saved(tmp_path / "a.png", with_card(WOOD, GREY_CARD, "bottom-left") * 0.7)
    told = rick.done("figure", "1B", "--photo", str(path), "--card", card, "--surface", "wiped", "--json").json
    assert ciede2000(tuple(told["photo"]["lab"]), TRUTH) < 1
    assert told["photo"]["lab_kept"]


@pytest.mark.parametrize("where", ["top-left", "Top left", "1,1,12,12", "1 1 12 12", "1%, 1%, 12%, 12%"])
def test_a_card_and_a_face_where_they_are_said_to_be(rick, photo, where):
    words = ["--photo", photo, *CARDED, "--card-at", where, "--area", "25,25,75,75", "--json"]
    assert ciede2000(tuple(rick.done("figure", "1B", *words).json["photo"]["lab"]), TRUTH) < 1


def test_doubts_are_said(rick, tmp_path):
    path = saved(tmp_path / "a.jpg", WOOD * 3, 1.5)
    assert "burnt out or black" in rick.done("figure", "1B", "--photo", str(path)).err


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["--surface", "planed"], 2, "1B: --surface is about a photograph"),
        (["--card", "grey"], 2, "1B: --card is about a photograph"),
        (["--card-at", "top-left"], 2, "1B: --card-at is about a photograph"),
        (["--area", "1,1,2,2"], 2, "1B: --area is about a photograph"),
        (["--photo", "{}", "--card-at", "top-left"], 2, "1B: --card-at says where a card lies"),
        (["--photo", "{}", "--card", "blue"], 3, '1B: --card "blue" is no card'),
        (["--photo", "{}", "--card", "nan%"], 3, '1B: --card "nan%" is no card'),
        (["--photo", "{}", "--card", "0%"], 3, "1B: a card that throws back 0 %"),
        (["--photo", "{}", "--card", "white", "--card-at", "middle"], 3, '1B: --card-at "middle" is no part'),
        (["--photo", "{}", "--card", "white", "--card-at", "bottom-right"], 3, "1B: the bottom-right corner"),
        (["--photo", "{}", "--area", "20,20,80"], 3, '1B: --area "20,20,80" is no part'),
        (["--photo", "{}", "--area", "80,20,20,80"], 3, "1B: 80, 20, 20, 80 is no part"),
        (["--photo", "{}", "--area", "nan,0,1,1"], 3, '1B: --area "nan,0,1,1" is no part'),
        (["--photo", "{}", "--area", "0,0,101,101"], 3, "1B: 0, 0, 101, 101 is no part"),
        (["--photo", "{}", "--area", "40,40,45,45"], 3, "1B: the face is only 52 by 35 points"),
        (["--photo", "{}", "--card", "white", "--area", "0,0,100,100"], 3, "1B: the card lies in the part"),
        (["--photo", "{}", "--surface", "wet"], 3, '"wet" is not a surface'),
        (["--photo", "{}", "--face", "E"], 3, '"E"'),
    ],
)
def test_bad_input(rick, photo, words, code, told):
    said = refused(rick, "figure", "1B", *[word.format(photo) for word in words])
    assert said.code == code
    assert told in said.err.splitlines()[0]
    assert rows(rick.book, "look") == []


# Files


@pytest.mark.parametrize("ending", ["png", "tif", "webp", "bmp", "gif", "jpg"])
def test_a_picture_of_each_kind_that_is_read(tmp_path, ending):
    told = {"lossless": True} if ending == "webp" else {"quality": 95} if ending == "jpg" else {}
    found = measured(saved(tmp_path / f"a.{ending}", WOOD, **told))
    assert ciede2000(found.lab, TRUTH) < 1
    assert found.grain_deg == pytest.approx(7, abs=0.3)


def as_mode(mode):
    picture = Image.fromarray(encoded(WOOD))
    return picture.quantize(256) if mode == "P" else picture.convert(mode)


@pytest.mark.parametrize("mode", ["RGBA", "P", "L", "LA"])
def test_palettes_opaque_layers_and_greys(tmp_path, mode):
    as_mode(mode).save(tmp_path / "a.png")
    found = measured(tmp_path / "a.png")
    assert found.grain_deg == pytest.approx(7, abs=0.3)
    assert found.contrast == pytest.approx(2.37, abs=0.25)
    if mode in ("L", "LA"):
        assert found.lab is None
        assert found.not_a_measure == "the picture has no colour"
    else:
        assert ciede2000(found.lab, TRUTH) < 2


def test_sixteen_bits_of_grey(tmp_path):
    grey = np.asarray(as_mode("L")).astype(np.uint16) * 257
    Image.fromarray(grey).save(tmp_path / "a.png")
    eight = as_mode("L")
    eight.save(tmp_path / "b.png")
    sixteen = measured(tmp_path / "a.png")
    assert sixteen.lab is None
    assert sixteen.contrast == pytest.approx(measured(tmp_path / "b.png").contrast, rel=0.01)


def test_a_grey_picture_keeps_no_colour_even_beside_a_card(rick, tmp_path):
    Image.fromarray(encoded(with_card(WOOD, WHITE_CARD))).convert("L").save(tmp_path / "a.png")
    said = rick.done("figure", "1B", "--photo", str(tmp_path / "a.png"), *CARDED)
    assert "no colour is kept: the picture has no colour" in said.out


def clear_hole():
    picture = as_mode("RGBA")
    picture.putpixel((500, 350), (0, 0, 0, 0))
    return picture


def clear_rim():
    picture = as_mode("RGBA")
    picture.paste((0, 0, 0, 0), (0, 0, 1050, 60))
    return picture


def test_a_face_cut_out_of_its_ground_is_measured(tmp_path):
    clear_rim().save(tmp_path / "a.png")
    assert ciede2000(measured(tmp_path / "a.png").lab, TRUTH) < 1


BAD_MODES = {
    "cmyk.jpg": (lambda: as_mode("CMYK"), "is made for printing (CMYK)"),
    "bilevel.png": (lambda: as_mode("1"), "is black and white"),
    "bare.tif": (lambda: as_mode("L").convert("F"), "holds bare numbers"),
    "hole.png": (clear_hole, "part of the face is transparent"),
    "narrow.png": (lambda: Image.new("RGB", (3000, 1)), "too narrow"),
    "one.png": (lambda: Image.new("RGB", (1, 1)), "too small"),
    "plain.png": (lambda: Image.new("RGB", (600, 600), (120, 80, 50)), "all one colour"),
    "black.png": (lambda: Image.new("RGB", (600, 600)), "all one colour"),
    "white.png": (lambda: Image.new("RGB", (600, 600), "white"), "all one colour"),
}


@pytest.mark.parametrize("name", BAD_MODES)
def test_a_picture_that_cannot_be_measured(rick, tmp_path, name):
    make, told = BAD_MODES[name]
    make().save(tmp_path / name)
    said = refused(rick, "figure", "1B", "--photo", str(tmp_path / name))
    assert said.code == 3
    assert told in said.err.splitlines()[0]
    assert said.err.startswith("rick: 1B: ")


HEIC = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + bytes(64)


@pytest.mark.parametrize(
    ("raw", "told"),
    [
        (b"", "is empty"),
        (b"hello", "is no picture that is read here"),
        (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n", "is no picture that is read here"),
        (HEIC, "is a HEIC picture"),
        (b"\x89PNG\r\n\x1a\n", "is no picture|is damaged"),
        (b"\xff\xd8\xff\xe0", "is no picture|is damaged"),
    ],
    ids=["empty", "text", "drawing", "heic", "head of png", "head of jpeg"],
)
def test_a_file_that_is_no_picture(rick, tmp_path, raw, told):
    (tmp_path / "a.jpg").write_bytes(raw)
    said = refused(rick, "figure", "1B", "--photo", str(tmp_path / "a.jpg"))
    assert any(word in said.err.splitlines()[0] for word in told.split("|"))


def test_a_file_that_is_not_there_or_no_file(rick, tmp_path):
    assert "there is no file" in refused(rick, "figure", "1B", "--photo", str(tmp_path / "none.jpg")).err
    assert "is a folder" in refused(rick, "figure", "1B", "--photo", str(tmp_path)).err
    os.mkfifo(tmp_path / "pipe")
    assert "is no file" in refused(rick, "figure", "1B", "--photo", str(tmp_path / "pipe")).err
    assert refused(rick, "figure", "1B", "--photo", "a\0b.jpg").code == 3


@pytest.mark.parametrize("ending", ["jpg", "png", "tif", "webp", "gif", "bmp"])
def test_a_file_broken_off_anywhere_is_refused(tmp_path, ending):
    whole = saved(tmp_path / f"a.{ending}", face(200, 300, 7)).read_bytes()
    cut = tmp_path / f"cut.{ending}"
    for share in (0.02, 0.1, 0.5, 0.9):
        cut.write_bytes(whole[: int(share * len(whole))])
        with pytest.raises(photo_files.StockError, match=r"damaged|is no picture|narrow"):
            photo_files.read(str(cut))


@pytest.mark.parametrize("ending", ["jpg", "png", "tif", "webp", "gif", "bmp"])
def test_a_file_with_any_byte_wrong_is_read_or_refused(tmp_path, ending):
    whole = bytearray(saved(tmp_path / f"a.{ending}", face(60, 90, 7)).read_bytes())
    dice = np.random.default_rng(3)
    hurt = tmp_path / f"hurt.{ending}"
    for _ in range(60):
        raw = bytearray(whole)
        for at in dice.integers(0, min(len(raw), 600), 3):
            raw[at] = dice.integers(0, 256)
        hurt.write_bytes(raw)
        try:
            picture = photo_files.read(str(hurt)).picture
        except photo_files.StockError:
            continue
        assert np.isfinite(picture.light).all()


def test_too_large_in_bytes_or_points(rick, photo, monkeypatch):
    monkeypatch.setattr(photo_files, "MOST_BYTES", 1 << 20)
    with open(photo, "ab") as file:
        file.write(bytes(2 << 20))
    assert "is larger than 1 MB" in refused(rick, "figure", "1B", "--photo", photo).err
    monkeypatch.setattr(photo_files, "MOST_BYTES", 1 << 30)
    monkeypatch.setattr(photo_files, "MOST_PIXELS", 500_000)
    assert "has more than 0 million points" in refused(rick, "figure", "1B", "--photo", photo).err


def test_a_small_file_of_a_huge_picture_is_not_unpacked(rick, tmp_path):
    """196 million points in 24 KB."""
    Image.new("1", (14000, 14000)).save(tmp_path / "bomb.png")
    assert "more than 120 million points" in refused(rick, "figure", "1B", "--photo", str(tmp_path / "bomb.png")).err


def test_a_large_picture_is_scaled_down_and_measures_the_same(tmp_path, monkeypatch):
    path = saved(tmp_path / "a.jpg", face(1200, 1800, 7), 1, quality=92)
    whole = measured(path)
    monkeypatch.setattr(photo_points, "LONGEST", 900)
    blocks = photo_files.read(str(path)).picture
    assert blocks.light.shape == (600, 900, 3)
    assert (blocks.across_px, blocks.down_px) == (1800, 1200)
    monkeypatch.setattr(photo_files, "DRAFT_FROM", 1)
    monkeypatch.setattr(photo_files, "LONGEST", 900)
    for found in (measure_face(blocks), measured(path)):
        assert found.grain_deg == pytest.approx(whole.grain_deg, abs=0.3)
        assert found.contrast == pytest.approx(whole.contrast, rel=0.08)  # of half as many points as are wanted
        assert ciede2000(found.lab, whole.lab) < 0.5


# What a file says of itself: which side is up


@pytest.mark.parametrize("ending", ["jpg", "png", "tif", "webp"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_picture_is_turned_as_the_camera_was_held(tmp_path, orientation, ending):
    """As Pillow's own `exif_transpose` turns it."""
    light = WOOD[:300, :450].copy()
    light[:60, :200] *= 0.3
    exif = Image.Exif()
    exif[photo_points.ORIENTATION] = orientation
    told = {"lossless": True} if ending == "webp" else {"quality": 95} if ending == "jpg" else {}
    path = saved(tmp_path / f"a.{ending}", light, exif=exif, **told)
    with Image.open(path) as picture:
        right = np.asarray(ImageOps.exif_transpose(picture).convert("RGB"))
    found = photo_files.read(str(path)).picture
    assert (found.down_px, found.across_px) == right.shape[:2]
    assert np.allclose(found.light, photo_points.picture_of(Image.fromarray(right), 1.0)[0].light, atol=1e-6)


@pytest.mark.parametrize("orientation", [0, 9, 65535])
def test_an_orientation_that_is_none_turns_nothing(tmp_path, orientation):
    exif = Image.Exif()
    exif[photo_points.ORIENTATION] = orientation
    assert measured(saved(tmp_path / "a.jpg", WOOD, exif=exif)).grain_deg == pytest.approx(7, abs=0.3)


def test_exif_that_cannot_be_read_turns_nothing(tmp_path):
    for number, exif in enumerate(
        (b"Exif\0\0garbage", b"Exif\0\0II*\0\xff\xff\xff\xff", b"Exif\0\0MM\0*\0\0\0\x08\xff\xff")
    ):
        path = saved(tmp_path / f"{number}.jpg", WOOD, exif=exif)
        assert measured(path).grain_deg == pytest.approx(7, abs=0.3)


def test_an_upside_down_photograph_has_its_card_where_it_is_seen(rick, tmp_path):
    exif = Image.Exif()
    exif[photo_points.ORIENTATION] = 3
    path = saved(tmp_path / "a.jpg", with_card(WOOD, WHITE_CARD, "top-left"), 1, exif=exif)
    assert "the bottom-right corner" in rick.done("figure", "1B", "--photo", str(path), *CARDED).out


# and what its colours mean


def test_a_colour_profile_is_followed_and_a_broken_one_is_said(rick, tmp_path):
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    path = saved(tmp_path / "a.png", WOOD, icc_profile=profile)
    assert ciede2000(measured(path).lab, TRUTH) < 1
    broken = saved(tmp_path / "b.png", WOOD, icc_profile=b"no profile")
    assert "colour profile cannot be read" in rick.done("figure", "1B", "--photo", str(broken)).err


def wide_profile():
    """sRGB with its red and blue channels changed places: a profile that cannot be overlooked."""
    raw = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    red, blue = raw.index(b"rXYZ"), raw.index(b"bXYZ")
    raw[red : red + 4], raw[blue : blue + 4] = b"bXYZ", b"rXYZ"
    return bytes(raw)


def test_the_profile_decides_which_channel_is_red(tmp_path):
    path = saved(tmp_path / "a.png", WOOD[..., ::-1], icc_profile=wide_profile())
    assert ciede2000(measured(path).lab, TRUTH) < 1.5


def test_text_in_a_picture_is_no_business_of_ours(tmp_path):
    note = PngInfo()
    note.add_text("Comment", "x" * 100_000)
    assert measured(saved(tmp_path / "a.png", WOOD, pnginfo=note)).grain_deg == pytest.approx(7, abs=0.3)


# What is loaded


def test_without_a_photograph_nothing_of_it_is_loaded(rick):
    heavy = {"numpy", "scipy", "skimage", "PIL"}
    show = "import sys; print('LOADED', *sorted({m.split('.')[0] for m in sys.modules}))"
    for words in (["figure", "1B", "curl"], ["figure", "--help"]):
        code = f"from stock.cli import main; code = main({words!r}); {show}; sys.exit(code)"
        env = {"RICK_BOOK": str(rick.book), "PATH": "", "HOME": str(rick.book.parent)}
        env["PYTHONPATH"] = str(Path(__file__).parent.parent)
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=env, check=True)
        assert not set(done.stdout.split()) & heavy, words


@pytest.mark.parametrize("library", ["skimage", "PIL"])
def test_a_missing_library_is_a_sentence(rick, photo, monkeypatch, library):
    monkeypatch.setitem(sys.modules, library, None)
    if library == "PIL":
        monkeypatch.setitem(sys.modules, "PIL.Image", None)
    said = refused(rick, "figure", "1B", "--photo", photo)
    assert f"{library.split('.')[0]}" in said.err
    assert "pip install scikit-image" in said.err


def test_the_digest_is_of_the_file_as_it_is(tmp_path):
    file = io.BytesIO()
    Image.fromarray(encoded(CHERRY * np.ones((300, 300, 1)))).save(file, "PNG")
    (tmp_path / "a.png").write_bytes(file.getvalue())
    assert photo_files.read(str(tmp_path / "a.png")).sha256 == hashlib.sha256(file.getvalue()).hexdigest()
