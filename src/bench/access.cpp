#include "bench/access.h"

#include <openssl/crypto.h>
#include <openssl/rand.h>
#include <openssl/sha.h>

#include <algorithm>
#include <array>
#include <stdexcept>

#include <fmt/format.h>

namespace handlot::bench {
namespace {

template <std::size_t N>
std::array<unsigned char, N> random_bytes() {
  std::array<unsigned char, N> out{};
  if (RAND_bytes(out.data(), static_cast<int>(N)) != 1)
    throw std::runtime_error("the system gives no random bytes");
  return out;
}

std::string hex(const unsigned char* bytes, std::size_t n) {
  std::string out;
  for (std::size_t i = 0; i < n; ++i) out += fmt::format("{:02x}", bytes[i]);
  return out;
}

/// Without hyphen and blanks, in capitals.
std::string plain_code(const std::string& typed) {
  std::string out;
  for (const char c : typed) {
    if (c == '-' || c == ' ') continue;
    out += c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
  }
  return out;
}

/// Takes as long for a wrong code as for a right one.
bool same_secret(const std::string& a, const std::string& b) {
  return a.size() == b.size() && CRYPTO_memcmp(a.data(), b.data(), a.size()) == 0;
}

std::string cookie_value(const std::string& header, const std::string& name) {
  for (std::size_t at = 0; at < header.size();) {
    const std::size_t end = std::min(header.find(';', at), header.size());
    std::string one = header.substr(at, end - at);
    one.erase(0, one.find_first_not_of(' ') == std::string::npos ? one.size() : one.find_first_not_of(' '));
    if (one.rfind(name + "=", 0) == 0) return one.substr(name.size() + 1);
    at = end + 1;
  }
  return "";
}

bool good_path(const std::string& path) {
  if (path.empty() || path.front() != '/' || path.size() > 512) return false;
  if (path.find("..") != std::string::npos || path.find('\\') != std::string::npos ||
      path.find("//") != std::string::npos)
    return false;
  return std::all_of(path.begin(), path.end(),
                     [](char c) { return static_cast<unsigned char>(c) >= 0x20 && c != 0x7f; });
}

std::string shown(const std::string& text) {
  std::string out;
  for (const char c : text.substr(0, 80)) out += static_cast<unsigned char>(c) < 0x20 || c == 0x7f ? '?' : c;
  return out;
}

std::string label_from(const std::string& typed) {
  std::string out = shown(typed).substr(0, 40);
  return out.empty() ? "a screen" : out;
}

}  // namespace

std::string fresh_code() {
  static constexpr std::string_view letters = "23456789ABCDEFGHJKMNPQRSTUVWXYZ";
  std::string out;
  while (out.size() < 9) {
    if (out.size() == 4) out += '-';
    const auto byte = random_bytes<1>()[0];
    if (byte < 248) out += letters[byte % letters.size()];  // 248 = 8 x 31: every letter is as likely
  }
  return out;
}

std::string fresh_token() {
  const auto bytes = random_bytes<32>();
  return hex(bytes.data(), bytes.size());
}

std::string sha256_hex(std::string_view bytes) {
  std::array<unsigned char, SHA256_DIGEST_LENGTH> out{};
  SHA256(reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size(), out.data());
  return hex(out.data(), out.size());
}

bool is_public(const std::string& path) {
  return path == "/pair" || path == "/page/bench.css" || path == "/page/pair.js";
}

std::vector<std::pair<std::string, std::string>> safe_headers() {
  return {{"Content-Security-Policy",
           "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
           "font-src 'self'; "
           "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"},
          {"X-Content-Type-Options", "nosniff"},
          {"X-Frame-Options", "DENY"},
          {"Referrer-Policy", "same-origin"},
          {"Cross-Origin-Opener-Policy", "same-origin"},
          {"Cross-Origin-Resource-Policy", "same-origin"},
          {"Cache-Control", "no-store"}};
}

Access::Access(AccessRules rules, std::vector<record::Screen> known, std::function<std::int64_t()> now_ms,
               std::function<void(const record::Screen&)> keep, std::function<void(const std::string&)> note)
    : rules_(std::move(rules)),
      now_ms_(std::move(now_ms)),
      keep_(std::move(keep)),
      note_(std::move(note)),
      codes_{fresh_code(), fresh_code()} {
  for (auto& screen : known) screens_[screen.token_hash] = screen;
}

Answer Access::refused(const Request& request, int status, const std::string& why) {
  const std::string line =
      fmt::format("{} {} {}: {} {}", request.peer, shown(request.method), shown(request.path), status, why);
  {
    const std::lock_guard lock(mutex_);
    refusals_.push_front(line);
    if (refusals_.size() > 200) refusals_.pop_back();
  }
  if (note_) note_(line);
  Answer answer;
  answer.status = status;
  answer.type = "text/plain; charset=utf-8";
  answer.body = why + "\n";
  return answer;
}

std::optional<Answer> Access::refuse_early(const Request& request) {
  if (!good_path(request.path)) return refused(request, 400, "there is no such path");
  const bool post = request.method == "POST";
  if (!post && request.method != "GET" && request.method != "HEAD")
    return refused(request, 405, "only GET and POST are known here");
  if (!rules_.hosts.count(request.host))
    return refused(request, 421, "this bench is not known under that name");
  if (post) {
    const bool ours = request.origin.empty() ? request.fetch_site == "same-origin"
                                             : request.origin == "http://" + request.host;
    if (!ours) return refused(request, 403, "changes are taken from the bench's own pages only");
    if (!request.length) return refused(request, 411, "say how long it is");
    const auto limit = request.path == "/photo" ? rules_.photo_bytes : rules_.form_bytes;
    if (*request.length > limit)
      return refused(request, 413, fmt::format("more than {} bytes are not taken here", limit));
  }
  if (is_public(request.path)) return std::nullopt;
  const Right right = right_of(request);
  if (right == Right::none) {
    if (!post && request.path == "/") return see_other("/pair");
    return refused(request, 401, "pair this screen first: open /pair");
  }
  if (post && right == Right::read) return refused(request, 403, "this screen may look, not write");
  return std::nullopt;
}

std::optional<record::Screen> Access::screen_of(const Request& request) const {
  const std::string token = cookie_value(request.cookie, rules_.cookie);
  if (token.size() != 64) return std::nullopt;
  const std::lock_guard lock(mutex_);
  const auto at = screens_.find(sha256_hex(token));
  if (at == screens_.end() || at->second.withdrawn) return std::nullopt;
  return at->second;
}

Right Access::right_of(const Request& request) const {
  if (rules_.open) return Right::write;
  const auto screen = screen_of(request);
  return !screen ? Right::none : screen->may_write ? Right::write : Right::read;
}

std::string Access::label_of(const Request& request) const {
  if (rules_.open) return "this computer";
  const auto screen = screen_of(request);
  return screen ? screen->label : "";
}

std::string Access::key_of(const Request& request) const {
  if (rules_.open) return "open";
  const auto screen = screen_of(request);
  return screen ? screen->token_hash : "";
}

bool Access::resting(const std::string& peer) {
  const std::lock_guard lock(mutex_);
  const auto now = now_ms_();
  for (const std::string& who : {peer, std::string{}}) {
    const auto at = wrong_.find(who);
    if (at == wrong_.end()) continue;
    if (at->second.until_ms > now) return true;
    if (at->second.until_ms != 0) wrong_.erase(at);
  }
  return false;
}

void Access::count_wrong(const std::string& peer) {
  const std::lock_guard lock(mutex_);
  if (wrong_.size() > 4096) wrong_.clear();
  for (const auto& [who, most] :
       {std::pair{peer, rules_.tries}, std::pair{std::string{}, 4 * rules_.tries}}) {
    auto& w = wrong_[who];
    if (++w.tries >= most) w = {0, now_ms_() + rules_.rest_ms};
  }
}

Answer Access::pair(const Request& request, std::int64_t wall_ms) {
  if (resting(request.peer)) {
    Answer answer = refused(request, 429, "too many wrong codes: wait a minute");
    answer.headers.emplace_back("Retry-After", std::to_string(rules_.rest_ms / 1000));
    return answer;
  }
  const std::string typed = plain_code(request.field("code"));
  const Codes now = codes();
  const bool write = same_secret(typed, plain_code(now.write));
  const bool read = same_secret(typed, plain_code(now.read));
  if (!write && !read) {
    count_wrong(request.peer);
    return refused(request, 401, "that is not the code: look at the terminal, or at the page 'Screens'");
  }
  const std::string token = fresh_token();
  const record::Screen screen{sha256_hex(token), label_from(request.field("label")), write, wall_ms, false};
  {
    const std::lock_guard lock(mutex_);
    screens_[screen.token_hash] = screen;
  }
  keep_(screen);
  Answer answer = see_other("/");
  answer.headers.emplace_back(
      "Set-Cookie",
      fmt::format("{}={}; HttpOnly; SameSite=Strict; Path=/; Max-Age=31536000", rules_.cookie, token));
  return answer;
}

std::optional<std::string> Access::withdraw(const std::string& token_hash) {
  record::Screen screen;
  {
    const std::lock_guard lock(mutex_);
    const auto at = screens_.find(token_hash);
    if (at == screens_.end()) return std::nullopt;
    at->second.withdrawn = true;
    screen = at->second;
  }
  keep_(screen);
  return screen.token_hash;
}

Codes Access::codes() const {
  const std::lock_guard lock(mutex_);
  return codes_;
}

Codes Access::renew_codes() {
  const std::lock_guard lock(mutex_);
  codes_ = {fresh_code(), fresh_code()};
  return codes_;
}

std::vector<record::Screen> Access::screens() const {
  const std::lock_guard lock(mutex_);
  std::vector<record::Screen> out;
  for (const auto& [hash, screen] : screens_) out.push_back(screen);
  return out;
}

std::vector<std::string> Access::refusals() const {
  const std::lock_guard lock(mutex_);
  return {refusals_.begin(), refusals_.end()};
}

}  // namespace handlot::bench
