"""Examples of the deeds that take a head in, measure it and end its way."""

from io import BytesIO

from PIL import Image

from castworthy.actions import heads, photos
from factories import shop
from factories.sheet_texts import SMALL
from trail_examples import Deed, Stage, example


@example("heads.take_in_head")
def _(stage: Stage) -> Deed:
    return lambda: heads.take_in_head(sheet=stage.sheet, kind="new casting", by=stage.machinist)


@example("heads.change_head")
def _(stage: Stage) -> Deed:
    return lambda: heads.change_head(tag=stage.tag, mark="red dot", by=stage.machinist)


@example("heads.adopt_revision")
def _(stage: Stage) -> Deed:
    shop.write_sheet(stage.owner, text=SMALL.replace("high = 0.003", "high = 0.002"))
    return lambda: heads.adopt_revision(tag=stage.tag, by=stage.machinist)


@example("heads.send_back")
def _(stage: Stage) -> Deed:
    return lambda: heads.send_back(tag=stage.tag, note="deck too thin", by=stage.machinist)


@example("heads.scrap")
def _(stage: Stage) -> Deed:
    return lambda: heads.scrap(tag=stage.tag, note="cracked", by=stage.machinist)


@example("heads.return_to_shop")
def _(stage: Stage) -> Deed:
    heads.scrap(tag=stage.tag, note="cracked", by=stage.machinist)
    return lambda: heads.return_to_shop(tag=stage.tag, by=stage.machinist)


@example("readings.record_reading")
def _(stage: Stage) -> Deed:
    return lambda: shop.kept(stage.tag, "recession", "1A", "0.039 in", by=stage.machinist)


@example("photos.add_photo")
def _(stage: Stage) -> Deed:
    upload = BytesIO()
    Image.new("RGB", (40, 30), "grey").save(upload, format="PNG")
    upload.seek(0)
    return lambda: photos.add_photo(tag=stage.tag, upload=upload, by=stage.machinist)
