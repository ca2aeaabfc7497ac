#include "safety/label.h"

#include <algorithm>
#include <array>
#include <set>
#include <sstream>
#include <utility>

namespace handlot::safety {
namespace {

std::vector<std::string> split(const std::string& words) {
  std::set<std::string> each;
  std::istringstream in(words);
  for (std::string w; in >> w;) each.insert(w);
  return {each.begin(), each.end()};
}

KnownLabel known(std::string substance, std::string signal, const std::string& ghs, const std::string& h,
                 const std::string& p, std::string key, Standing standing) {
  return {std::move(substance), {std::move(signal), split(ghs), split(h), split(p)},
          {std::move(key), "section 2", standing}};
}

std::vector<KnownLabel> table() {
  using enum Standing;
  return {
      known("cyanoacrylate", "Warning", "GHS07", "H315 H319 H335 EUH202", "P261 P264 P271 P280 P305+P351+P338",
            "SDS454", read),
      known("epoxy-resin", "Warning", "GHS07 GHS09", "H315 H317 H319 H411", "P261 P273 P280", "SDSITW", read),
      known("epoxy-hardener-amine", "Danger", "GHS05 GHS07", "H314 H317 H318", "P260 P280", "SDSJET", read),
      known("isopropanol", "Danger", "GHS02 GHS07", "H225 H319 H336", "P210 P233 P305+P351+P338", "SDSIPA", read),
      known("acetone", "Danger", "GHS02 GHS07", "H225 H319 H336 EUH066", "P210 P233 P305+P351+P338", "CLP", memory),
      known("heptane", "Danger", "GHS02 GHS07 GHS08 GHS09", "H225 H304 H315 H336 H410", "P210 P273 P301+P310",
            "SDSHEPTANE", read),
      known("ethanol", "Danger", "GHS02 GHS07", "H225 H319", "P210 P233", "CLP", memory),
      known("limonene", "Danger", "GHS02 GHS07 GHS08 GHS09", "H226 H304 H315 H317 H410", "P210 P273 P280", "SDSLIMONENE",
            read),
      known("dipentene", "Warning", "GHS02 GHS07 GHS09", "H226 H315 H317 H410", "P210 P273 P280", "SDSLIMONENE", read),
      known("linseed-oil", "", "", "", "", "SDSLINSEED", read),
      known("tung-oil", "", "", "", "", "SDSLINSEED", memory),
      known("danish-oil", "Danger", "GHS08", "H304 EUH066", "P301+P310", "CLP", memory),
      known("mma-cement", "Danger", "GHS02 GHS07", "H225 H315 H317 H335", "P210 P261 P280", "CLP", memory),
      known("isocyanate", "Danger", "GHS07 GHS08", "H315 H317 H319 H332 H334 H335 H351 H373 EUH204", "P260 P280", "CLP",
            memory),
      known("threadlocker", "Warning", "GHS07", "H317 H319 H335 H412", "P261 P280", "CLP", memory),
      known("rosin", "Warning", "GHS07", "H317", "P261 P280", "CLP", memory),
  };
}

struct CodeRow {
  std::string_view code;
  std::string_view picture;
  std::string_view words;
};
constexpr std::array kCodes{
    CodeRow{"H224", "GHS02", "extremely flammable liquid and vapour"},
    CodeRow{"H225", "GHS02", "highly flammable liquid and vapour"},
    CodeRow{"H226", "GHS02", "flammable liquid and vapour"},
    CodeRow{"H300", "GHS06", "deadly if swallowed"}, CodeRow{"H301", "GHS06", "poisonous if swallowed"},
    CodeRow{"H302", "GHS07", "harmful if swallowed"}, CodeRow{"H304", "GHS08", "may kill if swallowed and breathed in"},
    CodeRow{"H310", "GHS06", "deadly on skin"}, CodeRow{"H311", "GHS06", "poisonous on skin"},
    CodeRow{"H312", "GHS07", "harmful on skin"}, CodeRow{"H314", "GHS05", "burns skin and eyes"},
    CodeRow{"H315", "GHS07", "irritates skin"}, CodeRow{"H317", "GHS07", "may cause an allergic skin reaction"},
    CodeRow{"H318", "GHS05", "damages eyes for good"}, CodeRow{"H319", "GHS07", "irritates eyes badly"},
    CodeRow{"H330", "GHS06", "deadly if breathed in"}, CodeRow{"H331", "GHS06", "poisonous if breathed in"},
    CodeRow{"H332", "GHS07", "harmful if breathed in"},
    CodeRow{"H334", "GHS08", "may cause asthma or allergy if breathed in"},
    CodeRow{"H335", "GHS07", "may irritate the airways"}, CodeRow{"H336", "GHS07", "may make drowsy or dizzy"},
    CodeRow{"H340", "GHS08", "may damage genes"}, CodeRow{"H341", "GHS08", "suspected of damaging genes"},
    CodeRow{"H350", "GHS08", "may cause cancer"}, CodeRow{"H351", "GHS08", "suspected of causing cancer"},
    CodeRow{"H360", "GHS08", "may harm fertility or the unborn child"},
    CodeRow{"H360D", "GHS08", "may harm the unborn child"},
    CodeRow{"H361", "GHS08", "suspected of harming fertility or the unborn child"},
    CodeRow{"H362", "", "may harm breast-fed children"},
    CodeRow{"H370", "GHS08", "damages organs"}, CodeRow{"H371", "GHS08", "may damage organs"},
    CodeRow{"H372", "GHS08", "damages organs by long contact"},
    CodeRow{"H373", "GHS08", "may damage organs by long contact"},
    CodeRow{"H400", "GHS09", "very toxic to water life"}, CodeRow{"H410", "GHS09", "very toxic to water life, lasting"},
    CodeRow{"H411", "GHS09", "toxic to water life, lasting"}, CodeRow{"H412", "", "harmful to water life, lasting"},
    CodeRow{"H413", "", "may harm water life, lasting"},
    CodeRow{"EUH066", "", "dries and cracks skin"},
    CodeRow{"EUH202", "", "bonds skin and eyes in seconds; keep from children"},
    CodeRow{"EUH204", "", "contains isocyanates"}, CodeRow{"EUH205", "", "contains epoxy constituents"},
};

const CodeRow* find_code(std::string_view code) {
  for (const CodeRow& row : kCodes)
    if (row.code == code) return &row;
  return nullptr;
}

bool any_of(std::span<const std::string> codes, std::initializer_list<std::string_view> wanted) {
  return std::any_of(codes.begin(), codes.end(), [&](const std::string& c) {
    return std::find(wanted.begin(), wanted.end(), c) != wanted.end();
  });
}

void merge(std::vector<std::string>& into, const std::vector<std::string>& more) {
  into.insert(into.end(), more.begin(), more.end());
  std::sort(into.begin(), into.end());
  into.erase(std::unique(into.begin(), into.end()), into.end());
}

}  // namespace

std::span<const KnownLabel> known_labels() {
  static const std::vector<KnownLabel> all = table();
  return all;
}

std::optional<KnownLabel> known_label(std::string_view substance) {
  for (const KnownLabel& k : known_labels())
    if (k.substance == substance) return k;
  return std::nullopt;
}

std::vector<std::string> pictures_for(std::span<const std::string> h_codes) {
  std::set<std::string> pictures;
  for (const std::string& code : h_codes)
    if (const CodeRow* row = find_code(code); row && !row->picture.empty()) pictures.insert(std::string(row->picture));
  // The exclamation mark stays only for what the stronger picture does not already say.
  const bool skull = pictures.contains("GHS06"), corrosion = pictures.contains("GHS05");
  const bool acute = any_of(h_codes, {"H302", "H312", "H332"});
  const bool irritant = any_of(h_codes, {"H315", "H319"});
  const bool other = any_of(h_codes, {"H317", "H335", "H336"});
  if (pictures.contains("GHS07") && !other && !(acute && !skull) && !(irritant && !corrosion)) pictures.erase("GHS07");
  return {pictures.begin(), pictures.end()};
}

Label unite(std::span<const Label> labels) {
  Label all;
  for (const Label& l : labels) {
    if (l.signal == "Danger" || (l.signal == "Warning" && all.signal.empty())) all.signal = l.signal;
    merge(all.ghs, l.ghs);
    merge(all.h_codes, l.h_codes);
    merge(all.p_codes, l.p_codes);
  }
  return all;
}

std::string_view hazard_words(std::string_view h_code) {
  const CodeRow* row = find_code(h_code);
  return row ? row->words : std::string_view{};
}

}  // namespace handlot::safety
