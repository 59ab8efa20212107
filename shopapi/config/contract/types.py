"""TypeScript types of models: converts pydantic's JSON Schema to interfaces and unions."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema, models_json_schema

Mode = Literal["serialization", "validation"]
JsonSchema = dict[str, Any]
Definitions = dict[str, JsonSchema]

# Text formats with their own type on the phone.
NAMED_TEXT = {"date": "Day", "date-time": "Moment", "decimal": "DecimalText"}
SIMPLE = {None: "unknown", "integer": "number", "number": "number", "boolean": "boolean", "null": "null"}


class _AsSent(GenerateJsonSchema):
    """Marks every field of output required, those with a default too, except where a serializer may omit them."""

    def field_is_required(self, field: Any, total: bool) -> bool:  # noqa: FBT001 - the signature is pydantic's
        return self.mode == "serialization" or super().field_is_required(field, total)

    def model_schema(self, schema: Any) -> dict[str, Any]:
        described = super().model_schema(schema)
        model: type[BaseModel] = schema["cls"]
        if self.mode == "serialization" and model.__pydantic_decorators__.model_serializers:
            sent = model().model_dump(mode="json")
            described["required"] = [name for name in described["required"] if name in sent]
        return described


@dataclass
class Types:
    """Collects the declarations of one file.

    `given` is what the server sends (rows), `taken` is what it accepts (arguments). A model that differs between the
    two, because a default may be left out of an argument, is declared twice: the second as `NameInput`.
    """

    given: dict[str, JsonSchema] = field(default_factory=dict)
    taken: dict[str, JsonSchema] = field(default_factory=dict)
    # Names of some given models that do not follow from the class.
    names: Mapping[str, str] = field(default_factory=dict)
    _split: frozenset[str] = field(default=frozenset(), init=False)

    def __post_init__(self) -> None:
        self._split = self._differing()

    @classmethod
    def of(
        cls,
        given: Mapping[str, type[BaseModel]],
        taken: Iterable[type[BaseModel]],
    ) -> "Types":
        """The types of these models and of all that they are made of; those of `given` by their names."""
        names = {model.__name__: name for name, model in given.items()}
        sent, accepted = _definitions(given.values(), "serialization"), _definitions(taken, "validation")
        return cls(sent, accepted, names)

    def given_name(self, model: type[BaseModel]) -> str:
        """The name of the type of what the server sends in this model."""
        return self.name_of(model.__name__, "serialization")

    def taken_name(self, model: type[BaseModel]) -> str:
        """The name of the type of what the server accepts in this model."""
        return self.name_of(model.__name__, "validation")

    def declarations(self) -> str:
        """Every type, given ones first, in the order of their names. Raises ValueError when two share a name."""
        declared: dict[str, str] = {}
        both: tuple[tuple[Mode, Definitions], ...] = (("serialization", self.given), ("validation", self.taken))
        for mode, definitions in both:
            for title, schema in sorted(definitions.items()):
                name = self.name_of(title, mode)
                text = self._declaration(name, schema, mode)
                if declared.setdefault(name, text) != text:
                    raise ValueError(f"Two different types would be called {name}; give one of them another name.")
        return "\n\n".join(text for _, text in sorted(declared.items()))

    def name_of(self, title: str, mode: Mode) -> str:
        """The TypeScript name of a definition: that given to it, else the Python name."""
        if "__" in title:
            raise ValueError(f"Two Python types share the last part of {title}; give one of them another name.")
        name = self.names.get(title, title)
        return name + "Input" if mode == "validation" and title in self._split else name

    def type_of(self, schema: JsonSchema, mode: Mode) -> str:
        """The TypeScript type of one value. Raises ValueError for what has none."""
        if "$ref" in schema:
            return self.name_of(schema["$ref"].removeprefix("#/$defs/"), mode)
        if several := schema.get("anyOf") or schema.get("oneOf"):
            # Two formats may come to one type.
            return " | ".join(dict.fromkeys(self.type_of(each, mode) for each in several))
        if "const" in schema or "enum" in schema:
            return union(schema.get("enum") or [schema["const"]])
        match schema.get("type"):
            case "string":
                return NAMED_TEXT.get(schema.get("format", ""), "string")
            case "array":
                return self._array(schema, mode)
            case "object":
                return f"Readonly<Record<string, {self._values(schema, mode)}>>"
            case kind if kind in SIMPLE:
                return SIMPLE[kind]
        raise ValueError(f"No TypeScript type is known for {json.dumps(schema)}.")

    def _array(self, schema: JsonSchema, mode: Mode) -> str:
        if "prefixItems" in schema:
            return f"readonly [{', '.join(self.type_of(each, mode) for each in schema['prefixItems'])}]"
        item = self.type_of(schema.get("items", {}), mode)
        return f"readonly ({item})[]" if " " in item else f"readonly {item}[]"

    def _values(self, schema: JsonSchema, mode: Mode) -> str:
        patterns = list(schema.get("patternProperties", {}).values())
        of_any = schema.get("additionalProperties", True)
        if patterns:
            return " | ".join(dict.fromkeys(self.type_of(each, mode) for each in patterns))
        return "unknown" if isinstance(of_any, bool) else self.type_of(of_any, mode)

    def _declaration(self, name: str, schema: JsonSchema, mode: Mode) -> str:
        words = _comment(schema.get("description", ""))
        if "properties" not in schema:
            return f"{words}export type {name} = {self.type_of(schema, mode)}"
        needed = schema.get("required", ())
        lines = (
            f"  readonly {field}{'' if field in needed else '?'}: {self.type_of(each, mode)}\n"
            for field, each in schema["properties"].items()
        )
        return f"{words}export interface {name} {{\n{''.join(lines)}}}"

    def _differing(self) -> frozenset[str]:
        """The names of types whose input differs from their output, in themselves or in a part."""
        both = self.given.keys() & self.taken.keys()
        differing = {
            title
            for title in both
            if self._declaration(title, self.given[title], "serialization")
            != self._declaration(title, self.taken[title], "validation")
        }
        while further := {title for title in both - differing if not differing.isdisjoint(_named(self.taken[title]))}:
            differing |= further
        return frozenset(differing)


def _definitions(models: Iterable[type[BaseModel]], mode: Mode) -> dict[str, JsonSchema]:
    _, made = models_json_schema([(model, mode) for model in models], schema_generator=_AsSent)
    definitions: dict[str, JsonSchema] = made.get("$defs", {})
    return definitions


def _named(value: Any) -> Iterable[str]:
    if isinstance(value, Mapping):
        if isinstance(ref := value.get("$ref"), str):
            yield ref.removeprefix("#/$defs/")
        for each in value.values():
            yield from _named(each)
    elif isinstance(value, list):
        for each in value:
            yield from _named(each)


def union(values: Iterable[Any]) -> str:
    """The union of some plain values.

    >>> union(["a", "b", None])
    "'a' | 'b' | null"
    """
    return " | ".join(f"'{value}'" if isinstance(value, str) else json.dumps(value) for value in values)


def _comment(words: str) -> str:
    if not words:
        return ""
    if "\n" not in words:
        return f"/** {words} */\n"
    lines = "".join(f" * {line}".rstrip() + "\n" for line in words.splitlines())
    return f"/**\n{lines} */\n"
