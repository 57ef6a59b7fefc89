"""Messages against docs/station-link.schema.json, for checks/tests/it/station_link.rs.

argv[1]: the schema. stdin: [[kind, text], ..], kind as "from-press".
stdout: {"valid": one for each: whether the text is JSON and keeps the schema of its kind, "why": what breaks it, else null}.
By jsonschema, draft 2020-12; the schema itself is checked against its meta-schema first.
"""

import json
import sys

from jsonschema import Draft202012Validator

schema = json.load(open(sys.argv[1], encoding="utf-8"))
Draft202012Validator.check_schema(schema)
validators = {
    kind: Draft202012Validator({"$schema": schema["$schema"], "$ref": f"#/$defs/{kind}", "$defs": schema["$defs"]})
    for kind in schema["$defs"]
}


def why(kind, text):
    try:
        message = json.loads(text)
    except ValueError as error:
        return str(error)
    error = next(validators[kind].iter_errors(message), None)
    return None if error is None else error.message


answers = [why(kind, text) for kind, text in json.load(sys.stdin)]
print(json.dumps({"valid": [answer is None for answer in answers], "why": answers}))
