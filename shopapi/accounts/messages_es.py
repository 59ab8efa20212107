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
    "link_over": "Este enlace ya se usó o es demasiado viejo. Pida uno nuevo.",
    "no_mail_server": "Este servidor no envía correo. Pregunte a quien lo administra.",
    "too_many_resets": "Demasiados intentos. Espere cinco minutos y pídalo de nuevo.",
    "too_many_links": "En la última hora se enviaron tres enlaces. Use el más nuevo, o espere.",
    "second_factor_needed": "Escriba el código de su aplicación de autenticación, o un código de recuperación.",
    "wrong_code": "Este código no es correcto o ya se usó. Escriba el más nuevo.",
    "too_many_codes": "Demasiados códigos incorrectos. Espere cinco minutos e inténtelo de nuevo.",
    "passkey_refused": "Esta llave de acceso no se aceptó. Inténtelo de nuevo, o use su contraseña.",
    "passkey_known": "Esta llave de acceso ya está configurada.",
    "too_many_passkeys": "Usted tiene {most} llaves de acceso. Quite una primero.",
    "authenticator_known": "Ya hay una aplicación de autenticación configurada. Quítela primero.",
    "authenticator_unasked": "Empiece de nuevo: ninguna aplicación espera su primer código.",
    "no_second_factor": (
        "Los códigos de recuperación vienen con una llave de acceso o una aplicación de autenticación. Configure una."
    ),
    "proof_needed": "Primero escriba de nuevo su contraseña o use una llave de acceso.",
    "this_session": "Este es el teléfono que está usando. Cierre la sesión en él.",
    "session_needed": "Una clave no puede hacer esto. Inicie sesión para hacerlo.",
    "email_taken": "Ese correo ya está en uso.",
}
