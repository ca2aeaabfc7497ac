#include "step_reader/guard.h"

#include <fmt/format.h>
#include <Interface_Check.hxx>
#include <Interface_CheckIterator.hxx>
#include <Standard_Type.hxx>

#include <algorithm>
#include <filesystem>

namespace handlot::step_reader {

namespace {

/// The words in quotes of DOCUMENT_FILE('...'): other files that an assembly is made of.
std::vector<std::string> references(const std::string& text) {
  std::vector<std::string> found;
  constexpr std::string_view kWord = "DOCUMENT_FILE";
  for (std::size_t at = text.find(kWord); at != std::string::npos; at = text.find(kWord, at + 1)) {
    const std::size_t open = text.find('\'', at);
    const std::size_t close = open == std::string::npos ? open : text.find('\'', open + 1);
    if (close == std::string::npos) break;
    found.push_back(text.substr(open + 1, close - open - 1));
  }
  return found;
}

bool leaves(const std::string& reference, const std::filesystem::path& from,
            const std::filesystem::path& folder) {
  namespace fs = std::filesystem;
  std::error_code fault;
  const fs::path whole = fs::weakly_canonical(from / reference, fault);
  const fs::path limit = fs::weakly_canonical(folder, fault);
  const auto [inside, rest] = std::mismatch(limit.begin(), limit.end(), whole.begin(), whole.end());
  return inside != limit.end();
}

bool begins(std::string_view text, std::string_view with) {
  return text.substr(0, with.size()) == with;
}

/// Is an entity of this type one that shapes or places are built from?
bool matters(std::string_view type) {
  if (type.find("Representation") != std::string_view::npos && begins(type, "StepShape_")) return false;
  for (std::string_view part : {"StepGeom_", "StepShape_", "StepData_UndefinedEntity"})
    if (begins(type, part)) return true;
  for (std::string_view part :
       {"ItemDefinedTransformation", "NextAssembly", "WithTransformation", "ContextDependentShape"})
    if (type.find(part) != std::string_view::npos) return true;
  return false;
}

}  // namespace

Diagnostics look_at_text(const Request& request, const std::string& text) {
  Diagnostics said;
  const std::size_t start = text.find_first_not_of(" \t\r\n\xef\xbb\xbf");
  if (start == std::string::npos) {
    said.push_back(error("step-empty", {}, "the file is empty", "export it again"));
  } else if (text.compare(start, 12, "ISO-10303-21") != 0) {
    said.push_back(error("step-unreadable", {},
                         "this is not a STEP file: it does not begin with ISO-10303-21",
                         "export as STEP (AP203, AP214 or AP242), not as another form"));
  }
  const std::filesystem::path own = std::filesystem::absolute(request.path).parent_path();
  const std::filesystem::path folder = request.folder.empty() ? own : std::filesystem::path(request.folder);
  for (const std::string& reference : references(text))
    if (leaves(reference, own, folder))
      said.push_back(
          error("step-outside", {},
                fmt::format("it refers to the file '{}', which lies outside its folder", reference),
                "put the files side by side, or export the assembly as one file"));
  return said;
}

Diagnostics broken_entities(const Handle(XSControl_WorkSession) & session) {
  Interface_CheckIterator checks = session->ModelCheckList();
  const Handle(Interface_InterfaceModel)& model = session->Model();
  std::vector<std::string> numbers;
  std::size_t more = 0;
  for (checks.Start(); checks.More(); checks.Next()) {
    if (!checks.Value()->HasFailed()) continue;
    const int number = checks.Number();
    const bool known = number >= 1 && number <= model->NbEntities();
    if (known && !matters(model->Value(number)->DynamicType()->Name())) continue;
    if (numbers.size() >= 8) {
      ++more;
      continue;
    }
    numbers.push_back(known ? fmt::format("{} ({})", model->StringLabel(model->Value(number))->ToCString(),
                                          model->Value(number)->DynamicType()->Name())
                            : std::string("one without a number"));
  }
  if (numbers.empty()) return {};
  std::string list;
  for (const std::string& n : numbers) list += (list.empty() ? "" : ", ") + n;
  if (more > 0) list += fmt::format(" and {} more", more);
  Diagnostics said;
  said.push_back(error("step-broken", {}, fmt::format("entities that the shapes need are broken: {}", list),
                       "export the file again; it was damaged or cut short"));
  return said;
}

bool only_tessellated(const Handle(Interface_InterfaceModel) & model) {
  bool triangles = false;
  for (int i = 1; i <= model->NbEntities(); ++i) {
    const std::string_view type = model->Value(i)->DynamicType()->Name();
    if (begins(type, "StepShape_") &&
        (type.find("Brep") != std::string_view::npos || type.find("ShellBased") != std::string_view::npos) &&
        type.find("Representation") == std::string_view::npos)
      return false;
    if (type.find("Tessellated") != std::string_view::npos ||
        type.find("Triangulated") != std::string_view::npos)
      triangles = true;
  }
  return triangles;
}

}  // namespace handlot::step_reader
