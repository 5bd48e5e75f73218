"""Root table of addresses: includes only."""

from django.urls import include, path
from django.views.generic import RedirectView

# Every pattern before the right one is tried: first those of phones at a pit, each of which waits for its answer, then
# the live board, which thousands may ask.
urlpatterns = [
    path("sync/v1/", include("meets.pit.sync.urls")),
    path("sync/v1/", include("meets.pit.phone.urls")),
    path("live/", include("meets.board.urls")),
    path("", RedirectView.as_view(pattern_name="desk:meets"), name="home"),
    path("desk/", include("meets.desk.urls")),
    path("desk/<slug:meet>/entries/", include("meets.entries.urls")),
    path("desk/<slug:meet>/sheets/", include("meets.sheets.urls")),
    path("desk/<slug:meet>/packs/", include("meets.desk.packs.urls")),
    path("desk/<slug:meet>/grid/", include("meets.grid.urls")),
    path("pit/", include("meets.pit.urls")),
    path("desk/<slug:meet>/results/", include("meets.desk.publishing.urls")),
    path("results/", include("meets.publishing.urls")),
    path("help/", include("meets.desk.help_urls")),
]
