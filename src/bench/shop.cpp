#include "bench/shop.h"

#include <algorithm>
#include <chrono>
#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "bench/access.h"
#include "bench/taken.h"
#include "record/admit.h"

namespace handlot::bench {
namespace {

using record::Event;
using record::Kind;

std::int64_t steady_ms() {
  return std::chrono::duration_cast<std::chrono::milliseconds>(
             std::chrono::steady_clock::now().time_since_epoch())
      .count();
}

std::string line_message(const Event& e) {
  nlohmann::ordered_json j{
      {"t", "line"}, {"seq", e.seq}, {"id", e.id}, {"kind", record::word(e.kind)}, {"unit", e.unit}};
  if (!e.step.empty()) j["step"] = e.step.text;
  if (!e.item.empty()) j["item"] = e.item;
  if (e.value) j["value"] = *e.value;
  if (!e.target.empty()) j["target"] = e.target;
  return j.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

constexpr std::int64_t kBeatMs = 10'000;
constexpr std::int64_t kRetryMs = 1'000;

std::string name_of_place(const std::filesystem::path& file) {
  std::error_code unknown;
  const auto whole = std::filesystem::weakly_canonical(std::filesystem::absolute(file, unknown), unknown);
  return "place-" + sha256_hex((unknown ? file : whole).string()).substr(0, 24);
}

/// A line after which a plan made before it does not hold any more.
bool moves_the_plan(Kind kind) {
  switch (kind) {
    case Kind::start:
    case Kind::leave:
    case Kind::done:
    case Kind::scrap:
    case Kind::rework:
    case Kind::correction:
    case Kind::plan:
    case Kind::settled:
    case Kind::times:
    case Kind::away:
      return true;
    default:
      return false;
  }
}

}  // namespace

bool Proposal::old(const std::vector<Event>& lines) const {
  return std::any_of(lines.begin() + std::min(for_seq, static_cast<std::int64_t>(lines.size())), lines.end(),
                     [](const Event& e) { return moves_the_plan(e.kind); });
}

Shop::Shop(plan::Plan plan, std::filesystem::path file, ClockSource clock, Replan replan,
           std::function<void(const std::string&)> tell, std::function<void(const std::string&)> log)
    : plan_(std::move(plan)),
      job_plan_(plan_.head.hash),
      file_(std::move(file)),
      place_name_(name_of_place(file_)),
      clock_(std::move(clock)),
      replan_(std::move(replan)),
      tell_(std::move(tell)),
      log_(std::move(log)),
      book_(plan_) {
  open_record();
  watch_clock();
  first_line();
  thread_ = std::thread([this] { run(); });
}

Shop::~Shop() {
  {
    const std::lock_guard lock(queue_mutex_);
    over_ = true;
  }
  more_.notify_all();
  if (thread_.joinable()) thread_.join();
  const std::lock_guard lock(file_mutex_);
  if (ledger_) (void)ledger_->beat(stamp());
}

/// A record in which nothing was done begins with the plan that holds for the whole lot, and names it.
void Shop::first_line() {
  if (!can_write() || !look([](const Glimpse& g) { return record::is_unnamed(g.plan, g.lines); })) return;
  const auto before = seq();
  Event line;
  line.id = "plan-" + fresh_token().substr(0, 24);
  line.kind = Kind::plan;
  line.item = plan_.head.hash;
  line.text = plan_.head.revision;
  line.at = stamp();
  const std::lock_guard lock(file_mutex_);
  const std::unique_lock state_lock(state_mutex_);
  add_line(line);
  if (!ledger_->append(std::span(&line, 1))) book_.cut_to(before);
}

/// In a folder that cannot be written the record is still read, so that every page shows what was done.
void Shop::open_record() {
  last_try_ms_ = steady_ms();
  auto opened = record::Ledger::open(file_, record::Ledger::Mode::write);
  Diagnostics trouble;
  if (!opened) {
    trouble = opened.error();
    opened = record::Ledger::open(file_, record::Ledger::Mode::read);
  }
  std::vector<Event> lines;
  std::optional<record::Stamp> last;
  if (opened) {
    if (auto read = opened->lines())
      lines = std::move(*read);
    else
      trouble = read.error();
    if (auto stamp = opened->last_stamp()) last = *stamp;
  }
  {
    const std::lock_guard lock(chain_mutex_);
    if (last && !chain_.last()) chain_ = record::Chain(*last);
  }
  {
    const std::unique_lock lock(state_mutex_);
    if (book_.state().seq != static_cast<std::int64_t>(lines.size())) book_.load(std::move(lines));
  }
  if (opened) take_up(*opened);
  const std::lock_guard lock(file_mutex_);
  trouble_ = trouble;
  ledger_.reset();
  if (opened) ledger_.emplace(std::move(*opened));
}

/// The record goes by a plan that was taken at the bench: its times are there, too.
void Shop::take_up(const record::Ledger& ledger) {
  const std::unique_lock lock(state_mutex_);
  const std::string& hash = book_.state().plan;
  if (hash.empty() || hash == plan_.head.hash) return;
  const auto kept = ledger.photo(hash);
  if (!kept || !*kept || (*kept)->type != kTakenType) return;
  auto schedule = schedule_of((*kept)->bytes, job_plan_);
  if (!schedule) return;
  plan_.schedule = std::move(*schedule);
  plan_.head.hash = hash;
  book_.set_plan(plan_);
}

record::Stamp Shop::stamp() {
  const std::lock_guard lock(chain_mutex_);
  const auto next = chain_.follow(clock_());
  if (next.gap_s) {
    Event jump;
    jump.id = "clock-" + fresh_token().substr(0, 24);
    jump.kind = Kind::clock;
    jump.value = next.gap_s;
    jump.at = next.at;
    clock_lines_.push_back(jump);
  }
  return next.at;
}

record::Moment Shop::now() const {
  const std::lock_guard lock(chain_mutex_);
  record::Chain glance = chain_;  // a look leaves no trace: jumps are found by the writing thread
  return record::now_moment(glance.follow(clock_()).at);
}

std::int64_t Shop::seq() const {
  const std::shared_lock lock(state_mutex_);
  return book_.state().seq;
}

/// Given  state_mutex_ is held.
std::string Shop::names() const {
  return book_.lines().empty() ? place_name_ : book_.lines().front().id + " " + place_name_;
}

bool Shop::is_named(const std::string& name) const {
  const std::shared_lock lock(state_mutex_);
  return name == place_name_ || (!book_.lines().empty() && name == book_.lines().front().id);
}

Diagnostics Shop::trouble() const {
  const std::lock_guard lock(file_mutex_);
  return trouble_.empty() ? last_failure_ : trouble_;
}

Result<Written> Shop::submit(std::vector<Event> lines, std::vector<record::Photo> photos) {
  auto job = std::make_unique<Job>();
  job->lines = std::move(lines);
  job->photos = std::move(photos);
  auto done = job->done.get_future();
  {
    const std::lock_guard lock(queue_mutex_);
    if (over_) return fail(error("bench-stopping", {}, "the bench is being shut", "start it again"));
    queue_.push_back(std::move(job));
  }
  more_.notify_one();
  return done.get();
}

/// The only thread that writes. Whatever has come in while the disk was busy goes down together.
void Shop::run() {
  for (;;) {
    std::deque<std::unique_ptr<Job>> jobs;
    {
      std::unique_lock lock(queue_mutex_);
      more_.wait_for(lock, std::chrono::milliseconds(200), [&] { return over_ || !queue_.empty(); });
      if (over_ && queue_.empty()) return;
      jobs.swap(queue_);
    }
    if (!jobs.empty()) settle_jobs(std::move(jobs));
    watch_clock();
    watch_timers();
  }
}

void Shop::add_line(Event& line) {
  line.seq = book_.state().seq + 1;
  if (line.plan.empty()) line.plan = plan_.head.hash;
  if (line.said.empty()) line.said = record::said_by(plan_, line);
  book_.add(line);
}

/// No touch is older than the record that its page was of.
std::int64_t Shop::bound_age(Event& line, const record::Moment& now) const {
  const Event& first = book_.lines().empty() ? line : book_.lines().front();
  const record::Moment begin{first.seq, first.at.ran_ms, first.at.wall_ms};
  const double most = record::elapsed(begin, now, book_.state().gaps).most_s;
  line.value = std::min(*line.value, most);
  return std::llround(1000 * *line.value);
}

void Shop::judge(Job& job, const record::Stamp& at) {
  const std::unique_lock lock(state_mutex_);
  const auto before = book_.state().seq;
  std::size_t known = 0;
  std::int64_t last = 0;
  for (Event& line : job.lines) {
    if (const auto there = book_.state().ids.find(line.id); there != book_.state().ids.end()) {
      const Event& old = book_.lines()[static_cast<std::size_t>(there->second - 1)];
      if (!same_words(old, line)) {
        book_.cut_to(before);
        job.verdict = fail(error("record-id-clash", {}, "a line of that id is in the record with other words",
                                 "reload the page"));
        return;
      }
      ++known;
      last = std::max(last, there->second);
      continue;
    }
    line.at = at;
    record::Moment touched = record::now_moment(at);
    if (record::may_be_kept(line.kind) && line.value) touched.kept_ms = bound_age(line, touched);
    const auto against = record::refuse(plan_, book_.state(), book_.lines(), line, touched);
    if (!against.empty()) {
      book_.cut_to(before);
      job.accepted.clear();
      job.verdict = fail(against);
      return;
    }
    add_line(line);
    job.accepted.push_back(line);
    last = line.seq;
  }
  if (known == job.lines.size()) job.verdict = Written{last, true};
}

bool Shop::can_write() const {
  const std::lock_guard lock(file_mutex_);
  return trouble_.empty();
}

void Shop::settle_jobs(std::deque<std::unique_ptr<Job>> jobs) {
  if (!can_write() && steady_ms() - last_try_ms_ >= kRetryMs) {
    open_record();
    first_line();
  }
  const auto at = stamp();
  watch_clock();
  const auto before = seq();
  std::vector<Event> lines;
  std::vector<record::Photo> photos;
  for (auto& job : jobs) {
    judge(*job, at);
    lines.insert(lines.end(), job->accepted.begin(), job->accepted.end());
    photos.insert(photos.end(), job->photos.begin(), job->photos.end());
  }
  Diagnostics why;
  if (!lines.empty()) {
    const std::lock_guard lock(file_mutex_);
    if (!ledger_ || !trouble_.empty()) {
      why = trouble_;
    } else if (const auto done = ledger_->append(lines, photos); !done) {
      why = done.error();
    }
    last_failure_ = why;
  }
  if (!why.empty()) {
    const std::unique_lock lock(state_mutex_);
    book_.cut_to(before);
  }
  for (auto& job : jobs) {
    if (job->verdict)
      job->done.set_value(*job->verdict);
    else if (!why.empty())
      job->done.set_value(fail(why));
    else
      job->done.set_value(Written{job->accepted.back().seq, false});
  }
  if (why.empty())
    tell_lines(lines);
  else
    log_(why.front().text);
}

void Shop::tell_lines(const std::vector<Event>& lines) {
  std::string all;
  for (const Event& line : lines) all += "data: " + line_message(line) + "\n\n";
  if (!all.empty()) tell_(all);
}

/// Writes down jumps of the clock, and now and then where the clock stands.
void Shop::watch_clock() {
  const auto at = stamp();
  std::vector<Event> jumps;
  {
    const std::lock_guard lock(chain_mutex_);
    jumps.swap(clock_lines_);
  }
  bool written = false;
  const std::lock_guard lock(file_mutex_);
  if (!jumps.empty()) {
    const std::unique_lock state_lock(state_mutex_);
    const auto before = book_.state().seq;
    for (Event& jump : jumps) add_line(jump);
    written = ledger_ && trouble_.empty() && ledger_->append(jumps);
    if (!written) {
      book_.cut_to(before);
      const std::lock_guard chain_lock(chain_mutex_);
      clock_lines_.insert(clock_lines_.begin(), jumps.begin(), jumps.end());
    }
  }
  if (written) tell_lines(jumps);
  const auto now = steady_ms();
  if (ledger_ && trouble_.empty() && now - last_beat_ms_ >= kBeatMs) {
    last_beat_ms_ = now;
    (void)ledger_->beat(at);
  }
}

/// Tells the screens when a timer ends, is late, or sounds again; and once a minute, for what is next and how long ago
/// something was hangs on the time alone.
void Shop::watch_timers() {
  std::string seen;
  look([&](const Glimpse& g) {
    seen = fmt::format("minute {};", g.now.ran_ms / 60000);
    for (const auto& timer : record::timers(g.plan, g.state, g.now))
      seen += fmt::format("{}:{}:{};", timer.id, static_cast<int>(timer.phase), timer.sounds);
  });
  if (seen == timers_seen_) return;
  timers_seen_ = seen;
  tell_("data: {\"t\":\"look\"}\n\n");
}

Result<std::optional<record::Photo>> Shop::photo(const std::string& name) const {
  const std::lock_guard lock(file_mutex_);
  if (!ledger_) return std::optional<record::Photo>{};
  return ledger_->photo(name);
}

std::vector<record::Screen> Shop::screens() const {
  const std::lock_guard lock(file_mutex_);
  if (!ledger_) return {};
  return ledger_->screens().value_or(std::vector<record::Screen>{});
}

void Shop::keep_screen(const record::Screen& screen) {
  const std::lock_guard lock(file_mutex_);
  if (ledger_) (void)ledger_->keep_screen(screen);
}

Result<void> Shop::export_to(const std::filesystem::path& file) const {
  const std::lock_guard lock(file_mutex_);
  if (!ledger_) return fail(trouble_);
  return ledger_->export_to(file);
}

Result<std::shared_ptr<const Proposal>> Shop::propose() {
  if (!replan_)
    return fail(error("bench-no-replan", {}, "this bench cannot work the plan out anew",
                      "run handlot plan on the job"));
  record::State state;
  record::Moment now_then;
  look([&](const Glimpse& g) {
    state = g.state;
    now_then = g.now;
  });
  const auto begun = steady_ms();
  auto anew = replan_(state, now_then);
  if (!anew) return fail(anew.error());
  auto made = std::make_shared<const Proposal>(
      Proposal{std::move(*anew), state.seq, static_cast<double>(steady_ms() - begun) / 1000});
  const std::lock_guard lock(proposal_mutex_);
  proposal_ = made;
  return made;
}

std::shared_ptr<const Proposal> Shop::proposal() const {
  const std::lock_guard lock(proposal_mutex_);
  return proposal_;
}

Result<Written> Shop::take_proposal(const std::string& hash, const std::string& id,
                                    const std::string& screen) {
  const auto there = look([&](const Glimpse& g) {
    const auto line = g.state.ids.find(id);
    return line == g.state.ids.end() ? std::int64_t{0} : line->second;
  });
  if (there > 0) return Written{there, true};
  const auto offered = proposal();
  const auto status = offered ? offered->plan.schedule.status : plan::Schedule::Status::stopped;
  const bool none = status == plan::Schedule::Status::stopped || status == plan::Schedule::Status::infeasible;
  if (none || offered->plan.head.hash != hash)
    return fail(
        error("bench-proposal-gone", {}, "that proposal is not there any more", "work the rest out anew"));
  if (look([&](const Glimpse& g) { return offered->old(g.lines); }))
    return fail(
        error("bench-proposal-old", {}, "more was done since it was worked out", "work the rest out anew"));
  Event line;
  line.id = id;
  line.kind = Kind::plan;
  line.item = hash;
  line.text = offered->plan.head.revision;
  line.screen = screen;
  line.plan = hash;
  auto written = submit({line}, {{hash, kTakenType, text_of(offered->plan.schedule, job_plan_)}});
  if (!written) return written;
  {
    const std::unique_lock lock(state_mutex_);
    plan_ = offered->plan;
    book_.set_plan(plan_);
  }
  {
    const std::lock_guard lock(proposal_mutex_);
    proposal_.reset();
  }
  tell_("data: {\"t\":\"look\"}\n\n");
  return written;
}

}  // namespace handlot::bench
