// shop.h: the live shop: plan, record and state together. One thread writes; any number of pages read.
#pragma once

#include <condition_variable>
#include <cstdint>
#include <deque>
#include <filesystem>
#include <functional>
#include <future>
#include <memory>
#include <mutex>
#include <optional>
#include <shared_mutex>
#include <string>
#include <thread>
#include <vector>

#include "bench/serve.h"
#include "plan/plan.h"
#include "record/ledger.h"
#include "record/state.h"
#include "record/timers.h"

namespace handlot::bench {

struct Written {
  std::int64_t seq = 0;  ///< of the last line
  bool already = false;  ///< every line was there: this is a repeat
};

/// What a page needs, held still while it is built.
struct Glimpse {
  const plan::Plan& plan;
  const record::State& state;
  const std::vector<record::Event>& lines;
  record::Moment now;
  std::string record{};  ///< as Shop::names(), with a blank between
};

/// A plan worked out anew, waiting for the builder's word.
struct Proposal {
  plan::Plan plan;
  std::int64_t for_seq = 0;  ///< state it was made from
  double seconds = 0;        ///< it took

  /// Work was done, undone or lost since: it does not hold any more.
  bool old(const std::vector<record::Event>& lines) const;
};

class Shop {
 public:
  /// `tell` hears every message for the screens (one line of JSON each). Opens the record, or says why it
  /// cannot and goes on trying: ticks are then refused and stay on the pages.
  Shop(plan::Plan plan, std::filesystem::path file, ClockSource clock, Replan replan,
       std::function<void(const std::string&)> tell, std::function<void(const std::string&)> log);
  ~Shop();
  Shop(const Shop&) = delete;
  Shop& operator=(const Shop&) = delete;

  /// Writes all lines or none; returns when they are on the disk. `at` and `plan` are filled in here.
  /// Errors  those of record::refuse and Ledger::append
  Result<Written> submit(std::vector<record::Event> lines, std::vector<record::Photo> photos = {});

  template <class F>
  auto look(F use) const {
    const std::shared_lock lock(state_mutex_);
    return use(Glimpse{plan_, book_.state(), book_.lines(), now(), names()});
  }
  record::Moment now() const;
  std::int64_t seq() const;

  /// A record is named by its first line; while it has none, and for what was touched until then, by where it lies. A
  /// form says the name of the record whose page it stands on. Every other name is another lot's.
  bool is_named(const std::string& name) const;

  /// What is wrong with the file, for a line at the top of every page.
  Diagnostics trouble() const;
  Result<std::optional<record::Photo>> photo(const std::string& name) const;
  std::vector<record::Screen> screens() const;
  void keep_screen(const record::Screen& screen);
  Result<void> export_to(const std::filesystem::path& file) const;

  /// Works the rest of the plan out anew. Errors: those of the callback, bench-no-replan.
  Result<std::shared_ptr<const Proposal>> propose();
  std::shared_ptr<const Proposal> proposal() const;
  /// Takes it: a line in the record with its times, and the plan of every page.
  /// Errors  bench-proposal-gone, bench-proposal-old (work was done since), those of submit()
  Result<Written> take_proposal(const std::string& hash, const std::string& id, const std::string& screen);

 private:
  struct Job {
    std::vector<record::Event> lines;
    std::vector<record::Photo> photos;
    std::promise<Result<Written>> done;
    std::optional<Result<Written>> verdict;  ///< known before the disk is asked
    std::vector<record::Event> accepted;
  };
  void run();
  std::string names() const;
  void open_record();
  void take_up(const record::Ledger& ledger);
  bool can_write() const;
  void first_line();
  void watch_clock();
  void settle_jobs(std::deque<std::unique_ptr<Job>> jobs);
  void judge(Job& job, const record::Stamp& at);
  record::Stamp stamp();
  std::int64_t bound_age(record::Event& line, const record::Moment& now) const;
  void add_line(record::Event& line);
  void tell_lines(const std::vector<record::Event>& lines);
  void watch_timers();

  plan::Plan plan_;
  const std::string job_plan_;  ///< hash of the plan that the job gives
  const std::filesystem::path file_;
  const std::string place_name_;  ///< of the record, before it has a first line
  const ClockSource clock_;
  const Replan replan_;
  const std::function<void(const std::string&)> tell_;
  const std::function<void(const std::string&)> log_;

  mutable std::shared_mutex state_mutex_;  ///< plan_, book_
  record::Ledgerbook book_;
  mutable std::mutex chain_mutex_;
  mutable record::Chain chain_;
  std::vector<record::Event> clock_lines_;  ///< jumps seen, not yet written

  mutable std::mutex file_mutex_;  ///< ledger_, trouble_
  std::optional<record::Ledger> ledger_;
  Diagnostics trouble_;       ///< why there is no file to write to
  Diagnostics last_failure_;  ///< of the last write, until one succeeds
  std::int64_t last_try_ms_ = 0;

  std::mutex queue_mutex_;
  std::condition_variable more_;
  std::deque<std::unique_ptr<Job>> queue_;
  bool over_ = false;

  mutable std::mutex proposal_mutex_;
  std::shared_ptr<const Proposal> proposal_;
  std::string timers_seen_;
  std::int64_t last_beat_ms_ = 0;
  std::thread thread_;
};

}  // namespace handlot::bench
