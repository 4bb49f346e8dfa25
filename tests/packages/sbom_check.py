"""Whether lists of what packages are made of are SPDX 2.3: what must be there is, every reference leads somewhere, and the
list is not empty of what is known to be linked.

    sbom_check.py FILE...
"""
import json
import os
import re
import sys

ID = re.compile(r"SPDXRef-[a-zA-Z0-9.-]+")
RELATIONSHIPS = {"DESCRIBES", "DYNAMIC_LINK", "RUNTIME_DEPENDENCY_OF", "BUILD_DEPENDENCY_OF", "BUILD_TOOL_OF"}
# A person who reads the sources knows that these are linked or compiled in.
KNOWN = {
    "wrackline-tools": {("DYNAMIC_LINK", "libsqlite3-0"), ("DYNAMIC_LINK", "libssl3"), ("BUILD_DEPENDENCY_OF", "libcli11-dev"),
                        ("BUILD_DEPENDENCY_OF", "libhowardhinnant-date-dev")},
    "wrackline-server": {("DYNAMIC_LINK", "libssl3"), ("DYNAMIC_LINK", "libqrencode4"), ("DYNAMIC_LINK", "libpq5"),
                         ("BUILD_DEPENDENCY_OF", "libboost1.81-dev")},
    "libwrackline0": {("DYNAMIC_LINK", "libzstd1"), ("BUILD_DEPENDENCY_OF", "libprotobuf-dev")},
    "libwrackline-dev": {("BUILD_DEPENDENCY_OF", "libprotobuf-dev")},
    "libwrackline-java": {("DYNAMIC_LINK", "libwrackline")},
}
problems = []


def need(condition, what):
    if not condition:
        problems.append(f"{file}: {what}")


for file in sys.argv[1:]:
    with open(file, encoding="utf-8") as stream:
        document = json.load(stream)
    need(document.get("spdxVersion") == "SPDX-2.3", "not of SPDX 2.3")
    need(document.get("dataLicense") == "CC0-1.0", "its own licence must be CC0-1.0")
    need(document.get("SPDXID") == "SPDXRef-DOCUMENT", "its id must be SPDXRef-DOCUMENT")
    need(document.get("name"), "no name")
    need(re.fullmatch(r"[a-z][a-z0-9+.-]*:[^#\s]+", document.get("documentNamespace", "")), "no namespace that is a URI")
    about = document.get("creationInfo", {})
    need(re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", about.get("created", "")), "not said when it was made")
    creators = about.get("creators", [])
    need(creators and all(re.match(r"(Person|Organization|Tool): \S", c) for c in creators), "not said by whom it was made")
    packages = document.get("packages", [])
    names = {p.get("SPDXID"): p.get("name") for p in packages}
    need(len(names) == len(packages), "two packages of one id")
    for package in packages:
        need(ID.fullmatch(package.get("SPDXID", "")), f"a package has no id: {package.get('name')}")
        for field in ("name", "versionInfo", "downloadLocation", "licenseConcluded", "licenseDeclared", "copyrightText"):
            need(package.get(field), f"{package.get('name')} has no {field}")
        need(package.get("filesAnalyzed") is False, f"{package.get('name')}: without files it must say that none were analysed")
        for reference in package.get("externalRefs", []):
            need(reference.get("referenceCategory") == "PACKAGE-MANAGER" and reference.get("referenceType") == "purl" and
                 re.fullmatch(r"pkg:deb/[a-z]+/[^@\s]+@[^?\s]+\?arch=\w+", reference.get("referenceLocator", "")),
                 f"{package.get('name')}: not a purl: {reference}")
    own = names.get("SPDXRef-" + os.path.basename(os.path.dirname(file)))
    need(own, "the package itself is not in it")
    told = set()
    for relationship in document.get("relationships", []):
        kind = relationship.get("relationshipType")
        ends = [relationship.get("spdxElementId"), relationship.get("relatedSpdxElement")]
        need(kind in RELATIONSHIPS, f"unknown relationship {kind}")
        for end in ends:
            need(end in names or end == "SPDXRef-DOCUMENT", f"{end} is nowhere")
        told |= {(kind, names.get(end)) for end in ends if names.get(end) != own or kind == "DESCRIBES"}
    need(("DESCRIBES", own) in told, "not said what it describes")
    for known in KNOWN.get(own, {(None, "a package that nobody looked at")}):
        need(known in told, f"{known} is not told")
    need({name for _, name in told} >= set(names.values()), "a package that nothing is said of")
    print(f"  {own}: {len(packages)} packages, {len(document.get('relationships', []))} relationships")
for problem in problems:
    print(problem)
sys.exit(1 if problems or len(sys.argv) < 2 else 0)
