app_name = "desk"
urlpatterns = []
