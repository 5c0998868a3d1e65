"""The words of a sign for the public; a test holds them to those of the page."""

from __future__ import annotations

from datetime import datetime

LANGUAGES = ("en", "es", "fr", "de")
SIGN: dict[str, dict[str, str]] = {
    "en": {
        "closed": "CLOSED",
        "out": "Stay out of the water.",
        "since": "Since {at}",
        "order": "By order of the authority.",
        "ask": "Questions: ask the staff.",
    },
    "es": {
        "closed": "CERRADO",
        "out": "No entre en el agua.",
        "since": "Desde {at}",
        "order": "Por orden de la autoridad.",
        "ask": "Preguntas: al personal.",
    },
    "fr": {
        "closed": "FERMÉ",
        "out": "N'entrez pas dans l'eau.",
        "since": "Depuis {at}",
        "order": "Sur ordre de l'autorité.",
        "ask": "Questions : demandez au personnel.",
    },
    "de": {
        "closed": "GESPERRT",
        "out": "Nicht ins Wasser gehen.",
        "since": "Seit {at}",
        "order": "Auf Anordnung der Behörde.",
        "ask": "Fragen: an das Personal.",
    },
}
REASONS: dict[str, dict[str, str]] = {
    "closed": {
        "en": "This pool is closed.",
        "es": "Esta piscina está cerrada.",
        "fr": "Ce bassin est fermé.",
        "de": "Dieses Becken ist geschlossen.",
    },
    "water": {
        "en": "The water is being treated and tested.",
        "es": "Se está tratando y analizando el agua.",
        "fr": "L'eau est traitée et contrôlée.",
        "de": "Das Wasser wird aufbereitet und geprüft.",
    },
    "sight": {
        "en": "The bottom of the pool cannot be seen.",
        "es": "No se ve el fondo de la piscina.",
        "fr": "On ne voit pas le fond du bassin.",
        "de": "Der Beckenboden ist nicht zu sehen.",
    },
    "dirt": {
        "en": "The water was fouled. It is being cleaned.",
        "es": "El agua se ha ensuciado. Se está limpiando.",
        "fr": "L'eau a été souillée. Elle est nettoyée.",
        "de": "Das Wasser wurde verunreinigt. Es wird gereinigt.",
    },
    "danger": {
        "en": "There is a danger at this pool.",
        "es": "Hay un peligro en esta piscina.",
        "fr": "Il y a un danger à ce bassin.",
        "de": "An diesem Becken besteht eine Gefahr.",
    },
    "lightning": {
        "en": "Thunderstorm.",
        "es": "Tormenta.",
        "fr": "Orage.",
        "de": "Gewitter.",
    },
    "plant": {
        "en": "The pool's equipment is being repaired.",
        "es": "Se está reparando la instalación.",
        "fr": "L'installation est en réparation.",
        "de": "Die Anlage wird repariert.",
    },
    "laboratory": {
        "en": "A laboratory test of the water was not good.",
        "es": "Un análisis de laboratorio del agua no fue bueno.",
        "fr": "Une analyse de l'eau en laboratoire n'était pas bonne.",
        "de": "Eine Laboruntersuchung des Wassers war nicht gut.",
    },
    "staff": {
        "en": "No staff at the moment.",
        "es": "No hay personal en este momento.",
        "fr": "Pas de personnel pour le moment.",
        "de": "Zurzeit kein Personal.",
    },
    "hours": {
        "en": "Outside opening hours.",
        "es": "Fuera del horario de apertura.",
        "fr": "En dehors des heures d'ouverture.",
        "de": "Außerhalb der Öffnungszeiten.",
    },
}
# What a house stop is called before the public.
OF_STOP = {
    "bottom-not-seen": "sight",
    "bottom-cannot-tell": "sight",
    "stool": "dirt",
    "vomit": "dirt",
    "blood": "dirt",
    "glass": "danger",
    "spill": "danger",
    "smell-or-gas": "danger",
    "drain-cover": "danger",
    "hot-pool": "danger",
    "lightning": "lightning",
    "circulation-stopped": "plant",
    "disinfectant-none": "water",
    "disinfectant-over-range": "water",
}
MONTHS = {
    "en": [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ],
    "es": [
        "enero",
        "febrero",
        "marzo",
        "abril",
        "mayo",
        "junio",
        "julio",
        "agosto",
        "septiembre",
        "octubre",
        "noviembre",
        "diciembre",
    ],
    "fr": [
        "janvier",
        "février",
        "mars",
        "avril",
        "mai",
        "juin",
        "juillet",
        "août",
        "septembre",
        "octobre",
        "novembre",
        "décembre",
    ],
    "de": [
        "Januar",
        "Februar",
        "März",
        "April",
        "Mai",
        "Juni",
        "Juli",
        "August",
        "September",
        "Oktober",
        "November",
        "Dezember",
    ],
}
DATED = {
    "en": "{day} {month} {year}, {clock}",
    "es": "{day} de {month} de {year}, {clock}",
    "fr": "{day} {month} {year}, {clock}",
    "de": "{day}. {month} {year}, {clock}",
}


def since_words(since: datetime, language: str) -> str:
    """Say since when, on the site's clock, such as "Since 25 November 2026, 05:51"."""
    at = DATED[language].format(
        day=since.day,
        month=MONTHS[language][since.month - 1],
        year=since.year,
        clock=since.strftime("%H:%M"),
    )
    return SIGN[language]["since"].replace("{at}", at)
