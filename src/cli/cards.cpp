// cards: cards and tables with their sources.
#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "bodies/solid_text.h"
#include "cli/verbs.h"
#include "core/text.h"
#include "geometry/solid.h"
#include "geometry/step.h"

namespace handlot::cli {

namespace {

using Json = nlohmann::ordered_json;
using catalogue::Card;
using catalogue::Catalogue;

Json card_json(const Card& card) {
  Json j{{"id", card.id.text}, {"kind", std::string(word(card.kind))}, {"name", card.name}, {"words", Json::object()}, {"figures", Json::array()}, {"notes", card.notes}};
  for (const auto& [name, value] : card.words) j["words"][name] = value;
  for (const catalogue::Figure& f : card.figures) {
    Json one{{"name", f.name}, {"value", f.text}, {"low", f.low}, {"high", f.high}, {"unit", std::string(input::canonical_unit(f.dimension))}};
    if (!f.on.empty()) one["on"] = f.on;
    if (f.at_temperature) one["at_temperature_degC"] = f.at_temperature->value;
    one["source"] = {{"key", f.source.key}, {"at", f.source.at}, {"standing", std::string(word(f.source.standing))}};
    j["figures"].push_back(std::move(one));
  }
  j["hazards"] = Json::array();
  for (const catalogue::Hazard& h : card.hazards) {
    j["hazards"].push_back({{"signal", h.signal}, {"ghs", h.ghs}, {"codes", h.h_codes}, {"source", {{"key", h.source.key}, {"at", h.source.at}, {"standing", std::string(word(h.source.standing))}}}});
  }
  j["place"] = {{"file", card.place.file}, {"line", card.place.line}};
  return j;
}

void list_all(const Screen& screen, const Catalogue& cards) {
  if (screen.json) {
    Json all = Json::array();
    for (const auto& [id, card] : cards.cards()) all.push_back({{"id", id.text}, {"kind", std::string(word(card.kind))}, {"name", card.name}, {"figures", card.figures.size()}});
    const Json document{{"cards", all}};
    fmt::print("{}\n", document.dump(2));
    return;
  }
  for (const auto& [id, card] : cards.cards()) {
    fmt::print("{:<26} {:<10} {} ({})\n", id.text, word(card.kind), card.name, counted(static_cast<long>(card.figures.size()), "figure", "figures"));
  }
}

int write_shape(const Screen& screen, const Card& card, const std::string& file) {
  const auto body = bodies::body_of(card);
  if (!body) {
    screen.report(body.error());
    return exit_for(body.error());
  }
  if (!*body) {
    screen.report({error("card-no-shape", card.place, fmt::format("the card '{}' says nothing of its shape", card.id.text), "give it a <solid>, or length, width and height")});
    return kInputWrong;
  }
  const auto solid = geometry::make_solid(**body);
  const auto written = solid ? geometry::write_step(file, card.id.text, {{card.id.text, *solid, {}, {}}}) : Result<std::monostate>(fail(solid.error()));
  if (!written) {
    screen.report(written.error());
    return solid ? static_cast<int>(kCannotWrite) : exit_for(written.error());
  }
  screen.say(fmt::format("written: {}", file));
  return kDone;
}

int run_cards(const Screen& screen, const std::string& id, const std::vector<std::string>& own, const std::string& out) {
  std::vector<std::string> folders{pipeline::own_cards()};
  folders.insert(folders.end(), own.begin(), own.end());
  const auto cards = Catalogue::read(folders);
  if (!cards) {
    screen.report(cards.error());
    return exit_for(cards.error());
  }
  if (!cards->warnings().empty() && !screen.json) screen.report(cards->warnings());
  if (id.empty()) {
    list_all(screen, *cards);
    return kDone;
  }
  const auto card = cards->look_up(CardId(id), {});
  if (!card) {
    screen.report(card.error());
    return kUsage;
  }
  if (!out.empty()) return write_shape(screen, **card, out);
  fmt::print("{}", screen.json ? card_json(**card).dump(2) + "\n" : describe(**card, *cards));
  return kDone;
}

}  // namespace

void add_cards(CLI::App& app, Screen& screen, Run& run) {
  CLI::App* v = verb(app, "cards", "Cards of parts, materials, substances, tools and processes, each figure with its source",
                     "handlot cards\n  handlot cards epoxy-5min\n  handlot cards my-glue --cards jobs/tide-dial/parts");
  auto id = std::make_shared<std::string>();
  auto own = std::make_shared<std::vector<std::string>>();
  v->add_option("id", *id, "One card; without it all are listed")->type_name("ID");
  v->add_option("--cards", *own, "A folder of your own cards")->type_name("DIR");
  auto out = std::make_shared<std::string>();
  v->add_option("-o,--out", *out, "Write the card's shape as a STEP file")->type_name("FILE.step");
  v->callback([&screen, &run, id, own, out] { run = [&screen, id, own, out] { return run_cards(screen, *id, *own, *out); }; });
}

}  // namespace handlot::cli
