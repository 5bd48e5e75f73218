app_name = "entries"
urlpatterns = []
