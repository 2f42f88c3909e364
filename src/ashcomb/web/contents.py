"""The contents of the ledger: every page, in the order of the work."""

from __future__ import annotations

CONTENTS: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    ("The case", (("/", "Case"), ("/status", "Status"), ("/dates", "Dates"), ("/profile", "Profile"),
                  ("/verify", "Seals"))),
    ("Where it is", (("/trace", "Trace"), ("/zone", "Zone"), ("/worth", "Worth of looks"),
                     ("/follow", "Follow-up"), ("/free", "Freedom"), ("/methods", "Methods"), ("/survey", "Survey"))),
    ("On the road", (("/visits", "Visits"), ("/calendar", "Calendar"))),
    ("Night and fire", (("/agents", "Agents"), ("/night", "Night"), ("/waiting", "Waiting"), ("/pit", "Pit"),
                        ("/firesite", "Fire site"), ("/burnday", "Burn day"))),
    ("Every piece", (("/fate", "Fates"), ("/prepare", "Before the kill"), ("/balance", "Mass balance"),
                     ("/holdstore", "Hold store"), ("/pack", "Packing"), ("/consign", "Consignment"),
                     ("/certificates", "Certificates"), ("/treatments", "Treatments"), ("/claim", "Claim"))),
    ("All-clear", (("/rounds", "Rounds"), ("/proof", "Proof"), ("/release", "Release"),
                   ("/hobby", "Keeper of few hives"))),
    ("Write and print", (("/records", "Records"), ("/settle", "Conflicts"), ("/import", "Import"),
                         ("/papers", "Papers"))),
)  # fmt: skip
