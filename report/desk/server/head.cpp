#include "report/desk/server/head.h"

#include <algorithm>
#include <optional>

#include "ledger/base/desk_limits.h"
#include "ledger/base/utf8.h"

namespace trayproof::desk {
namespace {

// RFC 9110, 5.6.2.
bool is_token(char c) {
  if ((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9')) return true;
  return std::string_view("!#$%&'*+-.^_`|~").find(c) != std::string_view::npos;
}

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

std::string lower(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(), [](char c) { return lower(c); });
  return out;
}

std::string_view trimmed(std::string_view text) {
  const auto blank = [](char c) { return c == ' ' || c == '\t'; };
  while (!text.empty() && blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && blank(text.back())) text.remove_suffix(1);
  return text;
}

std::optional<int> hex_digit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (lower(c) >= 'a' && lower(c) <= 'f') return lower(c) - 'a' + 10;
  return std::nullopt;
}

// Only what may stand unencoded in a target; a "#" or a space never reaches a server from a browser.
bool is_target(char c) {
  return c > ' ' && c < 0x7f && std::string_view("\"<>\\^`{|}#").find(c) == std::string_view::npos;
}

std::optional<Refusal> read_request_line(std::string_view line, Head& head) {
  using enum Refusal;
  const std::size_t first = line.find(' ');
  const std::size_t last = line.rfind(' ');
  if (first == std::string_view::npos || first == 0 || last == first) return not_http;
  head.method = line.substr(0, first);
  const std::string_view target = line.substr(first + 1, last - first - 1);
  const std::string_view version = line.substr(last + 1);
  if (!std::all_of(head.method.begin(), head.method.end(), is_token)) return not_http;
  if (target.size() > limits::desk_target_bytes) return target_long;
  if (target.empty() || target.front() != '/' || !std::all_of(target.begin(), target.end(), is_target)) return not_http;
  if (version == "HTTP/1.0") {
    head.keep_alive = false;
  } else if (version != "HTTP/1.1") {
    return version.starts_with("HTTP/") ? old_version : not_http;
  }
  if (head.method != "GET" && head.method != "HEAD" && head.method != "POST") return method;
  head.target = target;
  const std::size_t question = target.find('?');
  std::string_view left = target.substr(0, question);
  if (question != std::string_view::npos) head.query = target.substr(question + 1);
  if (left.size() > limits::desk_path_bytes) return target_long;
  left.remove_prefix(1);
  while (!left.empty()) {
    const std::size_t slash = left.find('/');
    std::string segment;
    if (!decode(left.substr(0, slash), segment)) return Refusal::path;
    if (segment.empty() || segment == "." || segment == "..") return Refusal::path;
    head.segments.push_back(std::move(segment));
    if (slash == std::string_view::npos) break;
    left.remove_prefix(slash + 1);
    if (left.empty()) return Refusal::path;
  }
  return std::nullopt;
}

std::optional<Refusal> read_header(std::string_view line, Head& head) {
  // A line that begins with a blank goes on from the one before it in old HTTP: two readers, two meanings.
  const std::size_t colon = line.find(':');
  if (colon == std::string_view::npos || colon == 0) return Refusal::not_http;
  const std::string_view name = line.substr(0, colon);
  if (!std::all_of(name.begin(), name.end(), is_token)) return Refusal::not_http;
  const std::string_view value = trimmed(line.substr(colon + 1));
  const bool printable = std::all_of(value.begin(), value.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte == '\t' || (byte >= ' ' && byte != 0x7f);
  });
  if (!printable) return Refusal::not_http;
  head.headers.push_back({.name = lower(name), .value = std::string(value)});
  return std::nullopt;
}

// Headers that would mean two things when they stand twice.
constexpr std::string_view once[] = {"host",          "content-length", "content-type", "cookie",
                                     "authorization", "expect",         "origin",       "x-csrf-token"};

std::optional<Refusal> read_length(Head& head) {
  using enum Refusal;
  const std::string_view length = head.header("content-length");
  if (length.empty()) {
    const bool there = std::any_of(head.headers.begin(), head.headers.end(),
                                   [](const HeaderLine& one) { return one.name == "content-length"; });
    if (there) return length_wrong;
    return head.method == "POST" ? std::optional(length_missing) : std::nullopt;
  }
  constexpr std::size_t digits_max = 18;  // fits 63 bits
  const bool digits = std::all_of(length.begin(), length.end(), [](char c) { return c >= '0' && c <= '9'; });
  if (!digits) return length_wrong;
  if (length.size() > digits_max) return body_long;
  for (const char c : length) head.body_bytes = head.body_bytes * 10 + (c - '0');
  return head.method != "POST" && head.body_bytes > 0 ? std::optional(body_long) : std::nullopt;
}

std::optional<Refusal> settle(Head& head) {
  using enum Refusal;
  for (const std::string_view name : once) {
    const auto count = std::count_if(head.headers.begin(), head.headers.end(),
                                     [&](const HeaderLine& one) { return one.name == name; });
    if (count < 2) continue;
    return name == "host" ? host : name == "content-length" ? length_wrong : twice;
  }
  for (const HeaderLine& one : head.headers) {
    if (one.name == "transfer-encoding") return length_missing;
    if (one.name == "content-encoding") return encoded;
    if (one.name == "expect") {
      if (lower(one.value) != "100-continue") return expectation;
      head.awaits_go_ahead = true;
    }
    if (one.name != "connection") continue;
    const std::string value = lower(one.value);
    if (value.find("close") != std::string::npos) head.keep_alive = false;
    if (value.find("keep-alive") != std::string::npos) head.keep_alive = true;
  }
  head.host = lower(head.header("host"));
  if (head.host.empty()) return host;
  return read_length(head);
}

}  // namespace

std::string_view Head::header(std::string_view name) const {
  for (const HeaderLine& one : headers) {
    if (one.name == name) return one.value;
  }
  return {};
}

bool decode(std::string_view encoded, std::string& into) {
  into.clear();
  for (std::size_t i = 0; i < encoded.size(); ++i) {
    if (encoded[i] != '%') {
      into += encoded[i];
      continue;
    }
    if (i + 2 >= encoded.size()) return false;
    const auto high = hex_digit(encoded[i + 1]);
    const auto low = hex_digit(encoded[i + 2]);
    if (!high || !low) return false;
    into += static_cast<char>(*high * 16 + *low);
    i += 2;
  }
  const bool control = std::any_of(into.begin(), into.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte < ' ' || byte == 0x7f;
  });
  return !control && !first_bad_utf8(into);
}

std::variant<Head, Refusal> read_head(std::string_view bytes) {
  Head head;
  std::size_t lines = 0;
  while (!bytes.empty()) {
    const std::size_t end = bytes.find("\r\n");
    if (end == std::string_view::npos) return Refusal::not_http;
    const std::string_view line = bytes.substr(0, end);
    bytes.remove_prefix(end + 2);
    // A lone CR or LF ends a line for some readers and not for others.
    if (line.find_first_of("\r\n") != std::string_view::npos) return Refusal::not_http;
    if (line.empty()) break;
    if (lines++ == 0) {
      if (const auto refused = read_request_line(line, head)) return *refused;
    } else {
      if (lines > limits::desk_header_lines) return Refusal::head_long;
      if (const auto refused = read_header(line, head)) return *refused;
    }
  }
  if (lines == 0) return Refusal::not_http;
  if (const auto refused = settle(head)) return *refused;
  return head;
}

}  // namespace trayproof::desk
