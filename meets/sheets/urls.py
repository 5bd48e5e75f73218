app_name = "sheets"
urlpatterns = []
