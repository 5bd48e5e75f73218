app_name = "pit"
urlpatterns = []
