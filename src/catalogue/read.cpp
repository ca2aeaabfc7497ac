#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <set>
#include <sstream>

#include "catalogue/catalogue.h"
#include "core/text.h"
#include "input/xml.h"

namespace handlot::catalogue {

namespace fs = std::filesystem;
using input::Element;
using input::Take;
using input::XmlFile;

class Reader {
 public:
  explicit Reader(Catalogue& catalogue) : catalogue_(catalogue) {}

  void folder(const std::string& path) {
    std::error_code code;
    if (!fs::is_directory(path, code)) {
      faults_.push_back(error("folder-missing", {path, 0, 0}, "there is no such folder of cards", "check the path"));
      return;
    }
    std::vector<std::string> files;
    for (const auto& entry : fs::directory_iterator(path, code)) {
      if (entry.path().extension() == ".xml") files.push_back(entry.path().string());
    }
    std::sort(files.begin(), files.end());
    here_.clear();
    for (const std::string& file : files) read_file(file);
  }

  void check_sources() {
    for (const auto& [id, card] : catalogue_.cards_) {
      for (const Figure& figure : card.figures) check_source(figure.source, figure.place);
      for (const Hazard& hazard : card.hazards) check_source(hazard.source, card.place);
    }
  }

  Diagnostics faults_;

 private:
  void read_file(const std::string& path) {
    auto file = XmlFile::read(path);
    if (!file) {
      faults_.insert(faults_.end(), file.error().begin(), file.error().end());
      return;
    }
    files_.push_back(*file);
    Take take((*file)->root(), faults_);
    if (take.element().name() != "cards") {
      take.fault("root-unknown", take.place(), fmt::format("a card file begins with <cards>, not <{}>", take.element().name()),
                 "put the cards into <cards version=\"1\">");
      return;
    }
    if (take.count("version", 0, 0, 1000000) != 1) {
      take.fault("version-unknown", take.place_of("version"), "only version=\"1\" of the card format is known",
                 "write version=\"1\", or use a newer handlot");
    }
    for (const Element& child : take.element().children()) {
      take.children(child.name());
      if (child.name() == "document") {
        document(child);
      } else if (const auto kind = kind_of(child.name())) {
        card(child, *kind);
      } else {
        faults_.push_back(error("element-unknown", child.place(), fmt::format("<{}> is no kind of card", child.name()),
                                "known: document, part, screw, material, paste, solder, adhesive, activator, oil, solvent, "
                                "coating, flux, station, tool, process"));
      }
    }
    take.finish();
  }

  void document(const Element& element) {
    Take take(element, faults_);
    Document d{take.text("key"), take.text("title"), take.text_or("where", "")};
    take.finish();
    catalogue_.documents_[d.key] = d;
  }

  void card(const Element& element, CardKind kind) {
    Take take(element, faults_);
    Card card;
    card.id = CardId(take.id("id"));
    card.kind = kind;
    card.name = take.text("name");
    card.place = take.place();
    for (const WordName& word : words_of(kind)) read_word(take, word, card);
    for (const Element& figure : take.children("figure")) read_figure(figure, kind, card);
    if (const auto hazard = take.child("hazard")) read_hazard(*hazard, card);
    for (const Element& note : take.children("note")) card.notes.push_back(note.text());
    if (const auto solid = take.child("solid")) card.solid.push_back(shape(*solid));
    take.finish();
    add(std::move(card));
  }

  static ShapeText shape(const Element& element) {
    ShapeText text;
    text.name = element.name();
    text.place = element.place();
    for (const std::string& name : element.attributes()) text.words[name] = *element.attribute(name);
    for (const Element& child : element.children()) text.children.push_back(shape(child));
    return text;
  }

  void read_word(Take& take, const WordName& word, Card& card) {
    if (!take.has(word.name)) return;
    const std::string value = take.text(word.name);
    if (!word.choices.empty()) {
      std::istringstream stream{std::string(word.choices)};
      std::vector<std::string> known;
      for (std::string w; stream >> w;) known.push_back(w);
      if (std::find(known.begin(), known.end(), value) == known.end()) {
        const auto near = closest(value, known);
        take.fault("word-unknown", take.place_of(word.name), fmt::format("'{}' can't be '{}'", word.name, value),
                   near ? fmt::format("write {}=\"{}\"", word.name, *near) : fmt::format("write one of: {}", listed(known)));
        return;
      }
    }
    card.words[std::string(word.name)] = value;
  }

  void read_figure(const Element& element, CardKind kind, Card& card) {
    Take take(element, faults_);
    Figure figure;
    figure.name = take.text("name");
    figure.text = take.text("value");
    figure.on = take.text_or("on", "");
    figure.at_temperature = take.amount<Celsius>("at-temperature");
    figure.at_humidity = take.amount<RelativeHumidity>("at-humidity");
    figure.at_mass = take.amount<Grams>("at-mass");
    figure.source = read_source(take);
    figure.place = take.place();
    const auto known = figures_of(kind);
    const auto row = std::find_if(known.begin(), known.end(), [&](const FigureName& f) { return f.name == figure.name; });
    if (row == known.end()) {
      std::vector<std::string> names;
      for (const FigureName& f : known) names.emplace_back(f.name);
      const auto near = closest(figure.name, names);
      take.fault("figure-unknown", take.place_of("name"), fmt::format("a {} has no figure '{}'", word(kind), figure.name),
                 near ? fmt::format("write name=\"{}\"", *near) : fmt::format("known: {}", listed(names)));
    } else if (const auto amount = take.canonical("value", row->dimension, input::sensible(row->dimension))) {
      figure.dimension = row->dimension;
      figure.low = amount->low;
      figure.high = amount->high;
      card.figures.push_back(figure);
    }
    take.finish();
  }

  Source read_source(Take& take) {
    Source source;
    const std::string standing = take.word_of("standing", {"read", "memory", "practice", "measured"}, "");
    source.key = take.text_or("source", "");
    source.at = take.text_or("at", "");
    source.standing = standing == "read"     ? Standing::read
                      : standing == "memory" ? Standing::memory
                      : standing == "measured" ? Standing::measured
                                               : Standing::practice;
    if (!take.has("standing")) {
      take.fault("standing-missing", take.place(), "the figure does not say how well it stands",
                 "add standing=\"read\", \"memory\", \"practice\" or \"measured\"");
    } else if (source.key.empty() && (standing == "read" || standing == "memory")) {
      take.fault("source-missing", take.place(), "the figure has no source", "add source=\"KEY\" of a <document>, or say standing=\"practice\"");
    }
    return source;
  }

  void read_hazard(const Element& element, Card& card) {
    Take take(element, faults_);
    Hazard hazard;
    hazard.signal = take.word_of("signal", {"Danger", "Warning", "none"}, "none");
    if (hazard.signal == "none") hazard.signal.clear();
    hazard.ghs = take.words("ghs");
    hazard.h_codes = take.words("codes");
    hazard.p_codes = take.words("advice");
    hazard.source = read_source(take);
    take.finish();
    card.hazards.push_back(std::move(hazard));
  }

  void add(Card card) {
    if (card.id.empty()) return;
    const auto twin = catalogue_.cards_.find(card.id);
    if (twin != catalogue_.cards_.end()) {
      if (here_.contains(card.id)) {
        Diagnostic d = error("card-twice", card.place, fmt::format("a second card '{}'", card.id.text), "give one of them another id");
        d.notes.push_back({twin->second.place, "the first stands here"});
        faults_.push_back(std::move(d));
        return;
      }
      Diagnostic d = warning("card-clash", card.place, fmt::format("your card '{}' stands before ours", card.id.text),
                             "give it another id if both are wanted");
      d.notes.push_back({twin->second.place, "ours stands here"});
      catalogue_.warnings_.push_back(std::move(d));
    }
    here_.insert(card.id);
    const CardId id = card.id;
    catalogue_.cards_.insert_or_assign(id, std::move(card));
  }

  void check_source(const Source& source, const Place& place) {
    if (source.key.empty() || catalogue_.documents_.contains(source.key)) return;
    std::vector<std::string> known;
    for (const auto& [key, document] : catalogue_.documents_) known.push_back(key);
    const auto near = closest(source.key, known);
    faults_.push_back(error("source-unknown", place, fmt::format("no <document> has the key '{}'", source.key),
                            near ? fmt::format("write source=\"{}\"", *near)
                                 : std::string("add <document key=... title=... where=...> to a card file")));
  }

  Catalogue& catalogue_;
  std::set<CardId> here_;
  std::vector<std::shared_ptr<const XmlFile>> files_;
};

Result<Catalogue> Catalogue::read(std::span<const std::string> folders) {
  Catalogue catalogue;
  Reader reader(catalogue);
  for (const std::string& folder : folders) reader.folder(folder);
  reader.check_sources();
  if (!reader.faults_.empty()) return fail(std::move(reader.faults_));
  return catalogue;
}

const Card* Catalogue::find(const CardId& id) const {
  const auto found = cards_.find(id);
  return found == cards_.end() ? nullptr : &found->second;
}

Result<const Card*> Catalogue::look_up(const CardId& id, const Place& asked_at) const {
  if (const Card* card = find(id)) return card;
  std::vector<std::string> known;
  for (const auto& [key, card] : cards_) known.push_back(key.text);
  const auto near = closest(id.text, known);
  return fail(error("card-unknown", asked_at, fmt::format("no card has the id '{}'", id.text),
                    near ? fmt::format("write '{}'", *near) : std::string("'handlot cards' lists them; your own go into a folder given with --cards")));
}

std::vector<const Card*> Catalogue::of_kind(CardKind kind) const {
  std::vector<const Card*> found;
  for (const auto& [id, card] : cards_) {
    if (card.kind == kind) found.push_back(&card);
  }
  return found;
}

std::string describe(const Card& card, const Catalogue& catalogue) {
  std::string text = fmt::format("{} ({}): {}\n  {}\n", card.id.text, word(card.kind), card.name, handlot::describe(card.place));
  for (const auto& [name, value] : card.words) text += fmt::format("  {} = {}\n", name, value);
  for (const Figure& figure : card.figures) {
    std::string condition = figure.on.empty() ? "" : " on " + figure.on;
    if (figure.at_temperature) condition += fmt::format(" at {} degC", number(figure.at_temperature->value, 1));
    if (figure.at_humidity) condition += fmt::format(" at {} %RH", number(figure.at_humidity->value, 1));
    if (figure.at_mass) condition += fmt::format(" with {} g", number(figure.at_mass->value, 1));
    text += fmt::format("  {}{}: {}\n      {}\n", figure.name, condition, figure.text, handlot::describe(figure.source));
  }
  for (const Hazard& hazard : card.hazards) {
    text += fmt::format("  label: {} {} {}\n      {}\n", hazard.signal.empty() ? "no signal word" : hazard.signal,
                        fmt::join(hazard.ghs, " "), fmt::join(hazard.h_codes, " "), handlot::describe(hazard.source));
  }
  for (const std::string& note : card.notes) text += fmt::format("  note: {}\n", note);
  std::set<std::string> keys;
  for (const Figure& figure : card.figures) keys.insert(figure.source.key);
  for (const Hazard& hazard : card.hazards) keys.insert(hazard.source.key);
  for (const std::string& key : keys) {
    const auto found = catalogue.documents().find(key);
    if (found != catalogue.documents().end()) {
      text += fmt::format("  {}: {}{}\n", key, found->second.title, found->second.where.empty() ? "" : " - " + found->second.where);
    }
  }
  return text;
}

}  // namespace handlot::catalogue
