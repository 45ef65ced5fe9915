"""The small source in two languages: its Spanish catalogue, and its edition in English and Spanish."""

from __future__ import annotations

from source_folders import SourceFolders

from pocketref.words.catalogue import Entry, start_catalogue, write_catalogue

CAUTION = (
    "*Never mark with hydrated lime:* it burns eyes and skin. Local rules and the governing body decide."
)
CATALOGUE = "content/languages/es/content.po"
SPANISH = {
    "Marking material": "Material para marcar",
    CAUTION: "*Nunca marque con cal hidratada:* quema ojos y piel. Deciden las reglas locales y el ente rector.",
    "The lines are in": "Las líneas son parte",
    "A foot *on the line is in*. Past its outer edge is not.": "Un pie *en la línea está dentro*. Más allá, no.",
    "Look, then act": "Mire, luego actúe",
    "Feet first, *as the batter sets*.": "Primero los pies, *al colocarse el bateador*.",
    "Wrong? *Hold the pitcher, tell the batter,* wait.": "¿Mal? *Detenga al lanzador, avise,* espere.",
    "How to check": "Cómo revisar",
    "90-ft diamond": "diamante de 90 pies",
    "High school": "Secundaria",
    "Stance in the box": "Postura en la caja",
    "Foot past a line's outer edge?": "¿Un pie más allá de la línea?",
    "past the outer edge": "más allá del borde",
    "inside or on the line": "dentro o en la línea",
    "Has the pitcher started?": "¿Empezó el lanzador?",
    "started": "empezó",
    "not yet": "todavía no",
    "Told to get in, and still won't?": "¿Avisado, y no entra?",
    "refuses": "se niega",
    "not told yet, or gets in": "no avisado, o entra",
    "Legal stance": "Postura legal",
    "Tell the batter to get in": "Avise al bateador",
    "Batter, both feet in the box.": "Bateador, los dos pies en la caja.",
    "right palm to the pitcher": "palma derecha al lanzador",
    "Play on, watch the feet": "Siga, mire los pies",
    "Strike for refusing": "Strike por negarse",
    "strike": "strike",
    "Batter's box and stance": "Caja y postura",
    "Look": "Mirar",
    "Worth knowing": "Conviene saber",
    "Plate-area check": "Revisión del área del plato",
    "Field": "Campo",
    "Date": "Fecha",
}


def write_spanish(folders: SourceFolders, **changed: str) -> None:
    """Write the Spanish catalogue of the content, with some words `changed` by their English; "" leaves one out."""
    said = {**SPANISH, **changed}
    catalogue = start_catalogue("es")
    entries = tuple(Entry((english,), (spanish,)) for english, spanish in said.items() if spanish)
    path = folders.root / CATALOGUE
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(write_catalogue(type(catalogue)(catalogue.headers, entries)))


def print_in_both(folders: SourceFolders, languages: str = "[en, es]") -> SourceFolders:
    """The folders with an edition in both languages."""
    folders.replace("content/edition.yaml", "invented:", f"languages: {languages}\ninvented:")
    write_spanish(folders)
    return folders
