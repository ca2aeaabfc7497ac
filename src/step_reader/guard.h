// guard.h: what has to be right with a STEP file before its shapes may be built.
#pragma once

#include <Interface_InterfaceModel.hxx>
#include <XSControl_WorkSession.hxx>

#include <string>

#include "core/diagnostic.h"
#include "step_reader/step_program.h"

namespace handlot::step_reader {

/// Looks at the bytes: is it a STEP file at all, does it refer outside its folder?
Diagnostics look_at_text(const Request& request, const std::string& text);

/// Entities that the shapes need and that are broken. Building on them crashes the kernel.
Diagnostics broken_entities(const Handle(XSControl_WorkSession) & session);

/// The model speaks of shapes only as triangles.
bool only_tessellated(const Handle(Interface_InterfaceModel) & model);

}  // namespace handlot::step_reader
