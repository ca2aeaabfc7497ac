#include "sheets/ics.h"

#include <fmt/format.h>
#include <libical/ical.h>

#include <algorithm>
#include <ctime>
#include <map>
#include <memory>
#include <vector>

#include "core/text.h"
#include "sheets/sections.h"

namespace handlot::sheets {

namespace {

struct Free {
  void operator()(icalcomponent* c) const { icalcomponent_free(c); }
};
using Component = std::unique_ptr<icalcomponent, Free>;

constexpr std::size_t kApart = 12;

using Entry = CalendarEntry;

std::string slug(const std::string& name) {
  std::string out;
  for (const char c : name) {
    const bool plain = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
    const bool large = c >= 'A' && c <= 'Z';
    if (plain || large) {
      out += large ? static_cast<char>(c - 'A' + 'a') : c;
    } else if (!out.empty() && out.back() != '-') {
      out += '-';
    }
  }
  while (!out.empty() && out.back() == '-') out.pop_back();
  return out.empty() ? "job" : out;
}

std::string domain(const plan::Plan& plan) {
  return "@" + slug(plan.head.name) + ".handlot";
}

/// A stretch of sub-batches whose clocks make one event.
struct Batch {
  std::string units;  ///< "1-2"
  Instant first, last;
};

std::vector<Batch> batches_of(const View& view, const plan::Wait& wait) {
  std::vector<Batch> out;
  for (const auto* op : view.operations(wait.from.step)) {
    const Instant at = wait.from.edge == plan::Edge::start ? op->start : op->end;
    out.push_back({units_in_short(*op), at, at});
  }
  if (out.size() <= 1 || (out.size() <= kApart && wait.scope == plan::Scope::unit)) return out;
  Batch all{fmt::format("1-{}", view.lot()), out.front().first, out.front().last};
  for (const auto& b : out) {
    all.first = std::min(all.first, b.first);
    all.last = std::max(all.last, b.last);
  }
  return {all};
}

std::string units_text(const Batch& batch, const View& view, const plan::Wait& wait) {
  const plan::Step* step = view.step(wait.from.step);
  if (wait.scope == plan::Scope::lot || (step && step->timing.whole_lot)) return "the lot";
  return (batch.units.find_first_of("-,") == std::string::npos ? "unit " : "units ") + batch.units;
}

std::string description_of(const View& view, const plan::Wait& wait) {
  const WaitBox box = wait_box(view, wait);
  std::string out = box.from + ": " + box.span + ".";
  for (const auto* more : {&box.then, &box.meanwhile, &box.if_late}) out += more->empty() ? "" : "\n" + *more;
  if (const plan::Step* next = view.step(wait.to.step)) {
    if (const std::string who = whose_work(view, *next); !who.empty()) out += "\nHands for what follows: " + who + ".";
  }
  return out + "\nSource: " + box.source;
}

void add_entries(const View& view, const plan::Wait& wait, std::vector<Entry>& out) {
  const std::string& name = view.plan().head.name;
  for (const Batch& batch : batches_of(view, wait)) {
    const std::string stem = wait.id + "/" + batch.units;
    const std::string units = units_text(batch, view, wait);
    const std::string then = sentence(wait.then.empty() ? view.name(wait.to.step) : wait.then);
    if (wait.min.seconds > 0) {
      out.push_back({stem + "/wait" + domain(view.plan()), name + ": " + wait.what + ", " + units,
                     description_of(view, wait), capital(units) + ": time is up. " + then, batch.first,
                     batch.last + wait.min, true});
    }
    if (const auto end = latest_end(wait, batch.first)) {
      const Instant latest = *end;
      const Duration warning(std::clamp<std::int64_t>((latest - batch.first).seconds / 4, 0, 1800));
      out.push_back({stem + "/latest" + domain(view.plan()),
                     name + ": LATEST END, " + wait.what + ", " + units, description_of(view, wait),
                     capital(units) + ": last moment in " + in_words(warning) + ". " + then, latest - warning,
                     latest, false});
    }
  }
}

icaltimetype utc(Instant at) {
  return icaltime_from_timet_with_zone(static_cast<time_t>(at.seconds), 0, icaltimezone_get_utc_timezone());
}

icalcomponent* alarm_of(const Entry& entry) {
  icalcomponent* alarm = icalcomponent_new(ICAL_VALARM_COMPONENT);
  icalproperty* trigger = icalproperty_new_trigger(icaltriggertype_from_int(0));
  if (entry.alarm_at_end) icalproperty_add_parameter(trigger, icalparameter_new_related(ICAL_RELATED_END));
  icalcomponent_add_property(alarm, icalproperty_new_action(ICAL_ACTION_DISPLAY));
  icalcomponent_add_property(alarm, trigger);
  icalcomponent_add_property(alarm, icalproperty_new_description(entry.alarm.c_str()));
  return alarm;
}

Component event_of(const Entry& entry, Instant stamp, int sequence) {
  Component event(icalcomponent_new(ICAL_VEVENT_COMPONENT));
  const auto put = [&](icalproperty* property) { icalcomponent_add_property(event.get(), property); };
  put(icalproperty_new_uid(entry.uid.c_str()));
  put(icalproperty_new_dtstamp(utc(stamp)));
  put(icalproperty_new_sequence(sequence));
  put(icalproperty_new_dtstart(utc(entry.from)));
  put(icalproperty_new_dtend(utc(entry.to)));
  put(icalproperty_new_summary(entry.summary.c_str()));
  put(icalproperty_new_description(entry.description.c_str()));
  put(icalproperty_new_transp(ICAL_TRANSP_TRANSPARENT));
  icalcomponent_add_component(event.get(), alarm_of(entry));
  return event;
}

std::string text_of(icalcomponent* component) {
  char* text = icalcomponent_as_ical_string_r(component);
  std::string out(text ? text : "");
  icalmemory_free_buffer(text);
  return out;
}

int sequence_of(icalcomponent* event) {
  icalproperty* property = icalcomponent_get_first_property(event, ICAL_SEQUENCE_PROPERTY);
  return property ? icalproperty_get_sequence(property) : 0;
}

/// Our own events of the export before, by UID; they belong to `calendar`.
std::map<std::string, icalcomponent*> known_events(icalcomponent* calendar, const std::string& ours) {
  std::map<std::string, icalcomponent*> out;
  if (!calendar) return out;
  for (icalcomponent* event = icalcomponent_get_first_component(calendar, ICAL_VEVENT_COMPONENT); event;
       event = icalcomponent_get_next_component(calendar, ICAL_VEVENT_COMPONENT)) {
    const char* uid = icalcomponent_get_uid(event);
    if (uid && std::string_view(uid).ends_with(ours)) out[uid] = event;
  }
  return out;
}

/// The event as it stood if nothing about it changed, else with the next SEQUENCE.
Component updated(const Entry& entry, Instant stamp, icalcomponent* known) {
  if (!known) return event_of(entry, stamp, 0);
  const int sequence = sequence_of(known);
  Component same = event_of(entry, stamp, sequence);
  return text_of(same.get()) == text_of(known) ? std::move(same) : event_of(entry, stamp, sequence + 1);
}

Component cancelled(icalcomponent* known) {
  Component event(icalcomponent_new_clone(known));
  if (icalcomponent_get_status(known) == ICAL_STATUS_CANCELLED) return event;
  icalcomponent_set_sequence(event.get(), sequence_of(known) + 1);
  icalcomponent_set_status(event.get(), ICAL_STATUS_CANCELLED);
  while (icalcomponent* alarm = icalcomponent_get_first_component(event.get(), ICAL_VALARM_COMPONENT)) {
    icalcomponent_remove_component(event.get(), alarm);
    icalcomponent_free(alarm);
  }
  return event;
}

std::vector<Entry> entries_of(const View& view) {
  std::vector<Entry> entries;
  for (const auto& wait : view.plan().waits) add_entries(view, wait, entries);
  std::stable_sort(entries.begin(), entries.end(), [](const Entry& a, const Entry& b) {
    return a.from != b.from ? a.from < b.from : a.uid < b.uid;
  });
  return entries;
}

Component empty_calendar(const char* maker) {
  Component calendar(icalcomponent_new(ICAL_VCALENDAR_COMPONENT));
  icalcomponent_add_property(calendar.get(), icalproperty_new_version("2.0"));
  icalcomponent_add_property(calendar.get(), icalproperty_new_prodid(maker));
  return calendar;
}

}  // namespace

std::string calendar_of(std::span<const CalendarEntry> entries, Instant stamp, int sequence) {
  const Component calendar = empty_calendar("-//handlot//bench//EN");
  for (const Entry& entry : entries)
    icalcomponent_add_component(calendar.get(), event_of(entry, stamp, sequence).release());
  return text_of(calendar.get());
}

std::string to_ics(const plan::Plan& plan, std::string_view previous) {
  const View view(plan);
  const Component before(previous.empty() ? nullptr : icalparser_parse_string(std::string(previous).c_str()));
  auto known = known_events(before.get(), domain(plan));
  const Component calendar = empty_calendar("-//handlot//build plan//EN");
  for (const Entry& entry : entries_of(view)) {
    const auto found = known.find(entry.uid);
    icalcomponent* old = found == known.end() ? nullptr : found->second;
    icalcomponent_add_component(calendar.get(), updated(entry, plan.schedule.start, old).release());
    if (old) known.erase(found);
  }
  for (const auto& [uid, event] : known)
    icalcomponent_add_component(calendar.get(), cancelled(event).release());
  return text_of(calendar.get());
}

}  // namespace handlot::sheets
