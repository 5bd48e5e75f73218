from django.contrib.auth.views import LoginView, LogoutView


class SignIn(LoginView):
    template_name = "desk/sign_in.html"
    redirect_authenticated_user = True


class SignOut(LogoutView):
    http_method_names = ["post", "options"]
