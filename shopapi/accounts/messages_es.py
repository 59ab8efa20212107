"""Spanish sentences of signing in, which somebody may read who is not signed in; the others are read by members."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "too_many_passwords_minutes": "Demasiadas contraseñas incorrectas. Espere {minutes} minutos e inténtelo de nuevo.",
    "too_many_passwords_seconds": "Demasiadas contraseñas incorrectas. Espere {seconds} segundos e inténtelo de nuevo.",
    "csrf_failed": (
        "Este navegador no devolvió su cookie de sesión. Permita las cookies de este sitio y recargue la página."
    ),
    "membership_ended": "Su acceso terminó. Pregunte a quien dirige el taller.",
    "wrong_credentials": "El correo o la contraseña no son correctos.",
    "wrong_password_here": "Este correo ya inicia sesión aquí. Escriba su contraseña actual.",
    "not_your_password": "Esa no es su contraseña actual.",
    "password_too_common": "Esta contraseña está en la lista de las más comunes, que se prueban primero. Elija otra.",
    "password_like_email": "Esta contraseña se parece demasiado al correo. Elija otra.",
    "password_all_digits": "Esta contraseña solo tiene cifras. Agregue letras o palabras.",
    "email_taken": "Ese correo ya está en uso.",
}
