// FHIR R4: the Procedures of a Bundle (HL7 FHIR R4, hl7.org/fhir/R4/procedure.html and bundle.html) as events. Of a
// Patient only the identifier is looked at; names, birth dates and every other resource are counted and left.
// docs/registers.md, "FHIR", is the authority.
#pragma once

#include "importer/register/register.h"

namespace trayproof::registers {

// By content: a JSON object.
bool is_bundle(ByteView bytes);
Register read_bundle(ByteView bytes, const events::Kind& kind, const Choices& choices, const Zone& facility);

}  // namespace trayproof::registers
