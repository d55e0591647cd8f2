"""The claim of PDF/UA-1 in the metadata of a PDF/A-3 file.

PDF/A allows a property outside its own schemas only if the file describes it: ISO 19005-3, 6.6.2.3. The
description and the claim go into the one RDF block that WeasyPrint writes.
"""

__all__ = ["with_pdfua_claim"]

_CLAIM = b"""\
<rdf:Description xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/" rdf:about="" pdfuaid:part="1"/>\
<rdf:Description xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/" \
xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#" \
xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#" rdf:about="">\
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">\
<pdfaSchema:schema>PDF/UA identification</pdfaSchema:schema>\
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>\
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>\
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">\
<pdfaProperty:name>part</pdfaProperty:name>\
<pdfaProperty:valueType>Integer</pdfaProperty:valueType>\
<pdfaProperty:category>internal</pdfaProperty:category>\
<pdfaProperty:description>The part of ISO 14289 that the file follows</pdfaProperty:description>\
</rdf:li></rdf:Seq></pdfaSchema:property>\
</rdf:li></rdf:Bag></pdfaExtension:schemas></rdf:Description>"""


def with_pdfua_claim(packet: bytes) -> bytes:
    """`packet`, an XMP packet with one RDF block, with the claim added at the end of that block."""
    before, end, after = packet.partition(b"</rdf:RDF>")
    if not end or b"</rdf:RDF>" in after:
        raise ValueError("the XMP packet does not hold exactly one RDF block")
    return before + _CLAIM + end + after
