app_name = "help"
urlpatterns = []
