// client.h: speaks HTTP byte by byte, so that tests can say what no decent client would.
#pragma once

#include <arpa/inet.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <map>
#include <string>

#include <fmt/format.h>

namespace client {

struct Reply {
  int status = 0;  ///< 0: no answer at all
  std::string head;
  std::string body;
};

inline int connect_to(int port, const char* address = "127.0.0.1") {
  const int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  sockaddr_in to{};
  to.sin_family = AF_INET;
  to.sin_port = htons(static_cast<std::uint16_t>(port));
  inet_pton(AF_INET, address, &to.sin_addr);
  if (connect(fd, reinterpret_cast<sockaddr*>(&to), sizeof to) != 0) {
    close(fd);
    return -1;
  }
  const int on = 1;
  setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
  return fd;
}

inline bool send_all(int fd, const std::string& bytes) {
  for (std::size_t at = 0; at < bytes.size();) {
    const auto n = send(fd, bytes.data() + at, bytes.size() - at, MSG_NOSIGNAL);
    if (n <= 0) return false;
    at += static_cast<std::size_t>(n);
  }
  return true;
}

inline Reply read_reply(int fd) {
  std::string all;
  char buffer[16384];
  for (;;) {
    const auto n = recv(fd, buffer, sizeof buffer, 0);
    if (n <= 0) break;
    all.append(buffer, static_cast<std::size_t>(n));
  }
  Reply out;
  const auto split = all.find("\r\n\r\n");
  if (all.size() < 12 || split == std::string::npos) return out;
  out.status = std::atoi(all.substr(9, 3).c_str());
  out.head = all.substr(0, split);
  out.body = all.substr(split + 4);
  return out;
}

inline Reply raw(int port, const std::string& bytes, const char* address = "127.0.0.1") {
  const int fd = connect_to(port, address);
  if (fd < 0) return {};
  send_all(fd, bytes);
  Reply out = read_reply(fd);
  close(fd);
  return out;
}

using Headers = std::map<std::string, std::string>;

inline std::string lines(const Headers& headers) {
  std::string out;
  for (const auto& [name, value] : headers)
    if (!value.empty()) out += name + ": " + value + "\r\n";
  return out;
}

inline Reply get(int port, const std::string& path, Headers headers = {}) {
  headers.emplace("Host", fmt::format("127.0.0.1:{}", port));
  return raw(port, "GET " + path + " HTTP/1.1\r\n" + lines(headers) + "\r\n");
}

inline Reply post(int port, const std::string& path, const std::string& body, Headers headers = {}) {
  headers.emplace("Host", fmt::format("127.0.0.1:{}", port));
  headers.emplace("Origin", fmt::format("http://127.0.0.1:{}", port));
  headers.emplace("Content-Type", "application/x-www-form-urlencoded");
  headers.emplace("Content-Length", std::to_string(body.size()));
  headers.emplace("Accept", "application/json");
  return raw(port, "POST " + path + " HTTP/1.1\r\n" + lines(headers) + "\r\n" + body);
}

}  // namespace client
