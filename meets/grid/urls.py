app_name = "grid"
urlpatterns = []
