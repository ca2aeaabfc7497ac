#include "sheets/kit_csv.h"

#include "core/text.h"

namespace handlot::sheets {

namespace {

std::string field(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + "\"";
}

std::string row(const std::vector<std::string>& fields) {
  std::string out;
  for (std::size_t i = 0; i < fields.size(); ++i) out += (i > 0 ? "," : "") + field(fields[i]);
  return out + "\r\n";
}

std::string joined(const std::vector<std::string>& words) {
  std::string out;
  for (const auto& w : words) out += (out.empty() ? "" : "; ") + w;
  return out;
}

}  // namespace

std::string kit_csv(const plan::Plan& plan) {
  std::string out = row({"id", "name", "kind", "per_unit", "unit", "lot", "spare", "pull", "stock", "spec",
                         "bag", "look_alikes", "first_step", "size"});
  for (const auto& k : plan.kit) {
    out += row({k.id, k.name, k.kind, number(k.per_unit), k.unit, number(k.lot), number(k.spare),
                number(k.lot + k.spare), k.stock ? number(*k.stock) : "", k.spec, k.bag,
                joined(k.look_alikes), k.first_step, k.size});
  }
  return out;
}

}  // namespace handlot::sheets
