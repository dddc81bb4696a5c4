"""What the PDF library leaves out of the tag tree: the scope of header cells, and the index of their names.

ISO 14289-1 (PDF/UA-1) 7.5 asks for table headers that can be resolved, ISO 32000-1 14.8.5.7 defines `Scope`, and
14.7.2 the `IDTree` that header names are looked up in. Clauses named from memory. WeasyPrint 70.0 writes `Headers`
and `ID` but neither of those; this runs as its `finisher`, before the file is written.
"""

from __future__ import annotations

from typing import Any

import pydyf


def complete_tags(document: Any, pdf: pydyf.PDF) -> None:
    """Give every TH its scope and the tree its index. `document` is WeasyPrint's, unused."""
    elements = {item.reference: item for item in pdf.objects if isinstance(item, pydyf.Dictionary)}
    headers = [element for element in elements.values() if element.get("S") == "/TH"]
    for header in headers:
        row = elements[header["P"]]
        kinds = [elements[kid].get("S") for kid in row["K"] if kid in elements]
        # In our tables a row of nothing but headers heads the columns; beside data cells it heads its row.
        header["A"]["Scope"] = "/Row" if "/TD" in kinds else "/Column"
    named = sorted((header["ID"].string, header) for header in headers if "ID" in header)
    root = elements.get(pdf.catalog.get("StructTreeRoot"))
    if root is None or not named:
        return
    names = pydyf.Array()
    for _, header in named:
        names += [header["ID"], header.reference]
    limits = pydyf.Array([named[0][1]["ID"], named[-1][1]["ID"]])
    leaf = pydyf.Dictionary({"Names": names, "Limits": limits})
    pdf.add_object(leaf)
    root["IDTree"] = pydyf.Dictionary({"Kids": pydyf.Array([leaf.reference])})
