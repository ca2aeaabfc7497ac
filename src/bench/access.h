// access.h: who may look and who may write. Codes to pair a screen, cookies to know it again, and what is
// refused.
#pragma once

#include <cstdint>
#include <deque>
#include <functional>
#include <map>
#include <mutex>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "bench/wire.h"
#include "record/ledger.h"

namespace handlot::bench {

enum class Right { none, read, write };

struct AccessRules {
  bool open = true;                ///< loopback only: no pairing; host and origin are checked all the same
  std::set<std::string> hosts;     ///< what the Host header may say: "127.0.0.1:8080"
  std::string cookie = "handlot";  ///< name of the cookie; cookies of one host do not tell ports apart
  std::uint64_t form_bytes = 64 * 1024;
  std::uint64_t photo_bytes = 8 * 1024 * 1024;
  int tries = 5;                  ///< wrong codes from one address, or four times as many from all
  std::int64_t rest_ms = 60'000;  ///< then none is taken for so long
};

struct Codes {
  std::string write;
  std::string read;
};

/// Random bytes of the system as text of a code: "K7QM-2XRT", without look-alikes. 40 bits.
std::string fresh_code();
/// 256 random bits, hex: the token of a screen, the id of a form.
std::string fresh_token();
std::string sha256_hex(std::string_view bytes);

class Access {
 public:
  /// `now_ms` is a steady clock. `keep` stores a paired screen; `note` hears of every refusal.
  Access(AccessRules rules, std::vector<record::Screen> known, std::function<std::int64_t()> now_ms,
         std::function<void(const record::Screen&)> keep, std::function<void(const std::string&)> note);

  /// Everything that can be judged before the body is read: path, method, host, origin, size, right.
  std::optional<Answer> refuse_early(const Request& request);

  Right right_of(const Request& request) const;
  /// "this computer" where no pairing is asked; else the label of the screen. `key` names its live stream.
  std::string label_of(const Request& request) const;
  std::string key_of(const Request& request) const;

  /// Takes a code: the answer sets the cookie, or says what is wrong. Wrong ones are counted.
  Answer pair(const Request& request, std::int64_t wall_ms);
  /// A screen may no more. Returns its key.
  std::optional<std::string> withdraw(const std::string& token_hash);
  Codes codes() const;
  Codes renew_codes();
  std::vector<record::Screen> screens() const;
  std::vector<std::string> refusals() const;  ///< newest first, at most 200
  const AccessRules& rules() const { return rules_; }

 private:
  std::optional<record::Screen> screen_of(const Request& request) const;
  Answer refused(const Request& request, int status, const std::string& why);
  bool resting(const std::string& peer);
  void count_wrong(const std::string& peer);

  const AccessRules rules_;
  std::function<std::int64_t()> now_ms_;
  std::function<void(const record::Screen&)> keep_;
  std::function<void(const std::string&)> note_;
  mutable std::mutex mutex_;
  std::map<std::string, record::Screen> screens_;  ///< by token hash
  Codes codes_;
  struct Wrong {
    int tries = 0;
    std::int64_t until_ms = 0;
  };
  std::map<std::string, Wrong> wrong_;  ///< by address; "" counts all
  std::deque<std::string> refusals_;
};

/// Paths that need no pairing.
bool is_public(const std::string& path);

/// The headers that every answer carries.
std::vector<std::pair<std::string, std::string>> safe_headers();

}  // namespace handlot::bench
