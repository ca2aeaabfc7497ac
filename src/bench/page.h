// page.h: the pages of the bench as HTML. Functions of what is known now; they write nothing.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "bench/access.h"
#include "bench/shop.h"
#include "calendar/zone.h"
#include "record/look.h"

namespace handlot::bench {

/// What a page is made from.
struct Desk {
  const Glimpse& g;
  const calendar::Zone& zone;
  bool may_write = true;
  std::string here;     ///< path of this page
  Diagnostics trouble;  ///< of the record's file
  std::string notice{};  ///< stands on every page: what is wrong with the job itself
};

/// A whole page around `main`. `title` is text, `main` is HTML.
std::string page(const Desk& desk, const std::string& title, const std::string& main);
/// A page that says why something was not done; `again` holds the fields of the form, to be sent once more
/// with a reason when every obstacle allows that.
std::string refusal_page(const Desk& desk, const Diagnostics& why, const Request& request, bool insist);

std::string now_page(const Desk& desk);
std::string step_page(const Desk& desk, const plan::Step& step);
std::string waits_page(const Desk& desk);
std::string lot_page(const Desk& desk);
std::string unit_page(const Desk& desk, int unit);
/// The record of one unit on paper: same words, no controls.
std::string unit_print(const Desk& desk, int unit);
std::string kit_page(const Desk& desk);
std::string plan_page(const Desk& desk, const std::shared_ptr<const Proposal>& proposal,
                      const Diagnostics& fault, bool can_replan);
std::string record_page(const Desk& desk, std::int64_t before);
std::string screens_page(const Desk& desk, const Access& access, const std::string& url);
std::string pair_page(const std::string& code, const std::string& fault);

/// Pieces that several pages share.
std::string timer_list(const Desk& desk, const std::vector<record::Timer>& timers, const std::string& heading,
                       const std::string& id);
/// After a break: what ended, what to look at first. Empty without one.
std::string resume_box(const Desk& desk);
std::string task_card(const Desk& desk, const record::Task& task, const std::string& heading);
std::string when(const Desk& desk, const record::Moment& moment);
std::string wall_in(const Desk& desk, double seconds_from_now);
std::string span_text(double seconds);
/// "20 mA, at 5.0 V" of the checks of a cell, one item each.
std::string entries_html(const plan::Step& step, const record::Cell& cell);
/// QR code as SVG, for pictures of its own address.
std::string qr_svg(const std::string& text);
/// QR code for a terminal, two modules a character.
std::string qr_text(const std::string& text);

}  // namespace handlot::bench
