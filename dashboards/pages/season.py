"""How a season went, to read, to print and as a file."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from dashboards.dependencies import Services, Wall
from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.templating import page
from dashboards.views.season_csv import season_csv
from dashboards.views.season_view import season_view
from service.errors import NotKnownError
from service.nests.season import is_resting
from service.nests.season_sum import SeasonSum, season_sums

router = APIRouter()

NONE = "none"
"""What stands in the address for the pairs of no season."""


@router.get("/season")
def season(
    request: Request, services: Services, wall: Wall, *, season: str | None = None
) -> Response:
    snapshot = wall.current()
    sums = _sums(services)
    chosen = _chosen(sums, season)
    zone = services.settings.site.timezone
    names = {place.id: place.name for place in services.settings.places}
    view = season_view(chosen, sums, names, snapshot.now, zone) if chosen else None
    seasons = services.seasons.seasons()
    return page(
        request,
        "season.html",
        frame=frame(view.title if view else "Season", snapshot, services),
        view=view,
        resting=is_resting(seasons),
        last=seasons[-1] if seasons else None,
        version=snapshot.version,
    )


@router.get("/season/table.csv")
def table(services: Services, *, season: str | None = None) -> Response:
    chosen = _chosen(_sums(services), season)
    if chosen is None:
        raise NotKnownError("The book holds no season and no pair yet.")
    name = chosen.season.id if chosen.season else NONE
    return Response(
        season_csv(chosen),
        media_type="text/csv; charset=utf-8; header=present",
        headers={"content-disposition": f'attachment; filename="season-{name}.csv"'},
    )


def _sums(services: PageServices) -> tuple[SeasonSum, ...]:
    book = services.nest_book
    return season_sums(services.seasons.seasons(), book.pairs(), book.clutches())


def _chosen(sums: tuple[SeasonSum, ...], told: str | None) -> SeasonSum | None:
    """The season of the address, else the newest; None in an empty book."""
    if told is None:
        return sums[0] if sums else None
    for one in sums:
        if told == (str(one.season.id) if one.season else NONE):
            return one
    raise NotKnownError(f"There is no season {told!r}.")
