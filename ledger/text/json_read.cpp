// The only include of nlohmann's parser, which decides what is taken and tells why not. Its event interface is used so
// that duplicates, depth and digits are seen as they come, and nothing is converted first.
#include <cmath>
#include <nlohmann/json.hpp>
#include <unordered_set>

#include "ledger/base/number.h"
#include "ledger/base/utf8.h"
#include "ledger/text/json.h"
#include "ledger/text/json_fault.h"
#include "ledger/text/json_read_plain.h"
#include "ledger/words/words.h"

namespace trayproof::json {
namespace {

constexpr double integer_max = 999'999'999'999'999.0;

class Builder {
 public:
  explicit Builder(std::size_t depth) : depth_(depth) {}

  bool null() { return put(Value()); }
  bool boolean(bool value) { return put(Value(value)); }
  bool number_integer(std::int64_t value) { return whole(static_cast<double>(value), std::to_string(value)); }
  bool number_unsigned(std::uint64_t value) { return whole(static_cast<double>(value), std::to_string(value)); }
  bool number_float(double value, const std::string& text) {
    const int digits = significant_digits(text);
    // Below the smallest normal number a double holds fewer than 15 digits: what was given would be changed in silence.
    const bool kept = std::isnormal(value) || digits == 0;
    if (!kept || digits > 15 || std::abs(value) > integer_max) {
      return refuse(say("json.number", {{"found", shortened(text, 40)}}));
    }
    return put(Value(value));
  }
  bool string(std::string& value) { return put(Value(std::move(value))); }
  bool binary(nlohmann::json::binary_t&) { return false; }
  bool start_object(std::size_t) { return open(Value::object()); }
  bool end_object() { return close(); }
  bool start_array(std::size_t) { return open(Value::list()); }
  bool end_array() { return close(); }
  bool key(std::string& name) {
    Frame& frame = frames_.back();
    const Members& members = frame.value.members();
    // Few members are compared one by one; many go through a set, so that a hostile file cannot make this quadratic.
    bool there = false;
    if (members.size() < 16) {
      there = frame.value.find(name) != nullptr;
    } else {
      if (frame.names.empty()) {
        for (const Member& member : members) frame.names.insert(member.name);
      }
      there = !frame.names.insert(name).second;
    }
    frame.key = std::move(name);
    return !there || refuse(say("json.duplicate", {{"found", shortened(frame.key, 40)}}));
  }
  bool parse_error(std::size_t position, const std::string&, const nlohmann::detail::exception&) {
    position_ = position;
    return false;
  }

  Value take() { return std::move(root_); }
  // The member of the outermost object that was being read, with the members inside it: `replacement.temperature_c`.
  std::string member_in_hand() const {
    std::string path;
    for (const Frame& frame : frames_) {
      if (!frame.value.is_object() || frame.key.empty()) continue;
      path += (path.empty() ? "" : ".") + frame.key;
    }
    return path;
  }
  const std::string& why() const { return why_; }
  std::size_t position() const { return position_; }

 private:
  struct Frame {
    Value value;
    std::string key;
    std::unordered_set<std::string> names;
  };

  bool whole(double value, const std::string& text) {
    if (std::abs(value) > integer_max) return refuse(say("json.number", {{"found", text}}));
    return put(Value(value));
  }
  bool refuse(std::string why) {
    why_ = std::move(why);
    return false;
  }
  bool put(Value value) {
    if (frames_.empty()) {
      root_ = std::move(value);
    } else if (frames_.back().value.is_list()) {
      frames_.back().value.push(std::move(value));
    } else {
      frames_.back().value.members().push_back({std::move(frames_.back().key), std::move(value)});
      frames_.back().key.clear();
    }
    return true;
  }
  bool open(Value value) {
    if (frames_.size() >= depth_) return refuse(say("json.depth", {{"allowed", std::to_string(depth_)}}));
    frames_.push_back({std::move(value), {}, {}});
    return true;
  }
  bool close() {
    Value value = std::move(frames_.back().value);
    frames_.pop_back();
    return put(std::move(value));
  }

  std::size_t depth_;
  Value root_;
  std::vector<Frame> frames_;
  std::string why_;
  std::size_t position_ = 0;
};

}  // namespace

Result<Value> parse(std::string_view text, std::size_t depth) {
  if (Value value; read_plain(text, depth, value)) return value;
  return parse_carefully(text, depth);
}

Result<Value> parse_carefully(std::string_view text, std::size_t depth) {
  if (const auto bad = first_bad_utf8(text)) {
    return Error(ErrorCode::invalid, say("json.utf8", {{"column", std::to_string(*bad + 1)}}));
  }
  Builder builder(depth);
  const bool ok = nlohmann::json::sax_parse(text.begin(), text.end(), &builder);
  if (ok) return builder.take();
  if (!builder.why().empty()) return Error(ErrorCode::invalid, builder.why());
  return Error(ErrorCode::invalid, say("json.syntax", {{"column", std::to_string(builder.position())}}));
}

std::string member_at_fault(std::string_view text, std::size_t depth) {
  Builder builder(depth);
  if (nlohmann::json::sax_parse(text.begin(), text.end(), &builder) || builder.why().empty()) return {};
  return builder.member_in_hand();
}

}  // namespace trayproof::json
