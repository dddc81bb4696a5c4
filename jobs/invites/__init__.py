"""Calendar files and the mail that carries them, for any visit; and the reading of what comes back.

Works on frozen value objects, so it needs no database. The rules come from RFC 5545 (calendar files),
RFC 5546 (who may send what), RFC 6047 (how it travels by mail), RFC 7986 (feeds).
"""
