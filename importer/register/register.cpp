#include "importer/register/register.h"

#include <algorithm>
#include <array>

#include "importer/register/bundle.h"
#include "importer/register/rows.h"
#include "importer/register/survey.h"
#include "ledger/base/number.h"
#include "ledger/base/utf8.h"
#include "ledger/crypto/hash.h"
#include "ledger/events/fields.h"
#include "ledger/words/words.h"

namespace trayproof::registers {
namespace {

using json::Value;

constexpr std::size_t head_rows = 60;
constexpr std::size_t skipped_told = 100;
constexpr std::array delimiters = {reading::Delimiter::tab, reading::Delimiter::semicolon, reading::Delimiter::comma,
                                   reading::Delimiter::pipe};

Value text_or_null(const std::optional<std::string>& text) { return text ? Value(*text) : Value(); }

// One file on its way: what is settled so far.
class Reader {
 public:
  Reader(ByteView bytes, const events::Kind& kind, const Choices& choices, const Zone& facility)
      : bytes_(bytes), kind_(kind), choices_(choices), zone_(facility) {}

  Register read() {
    out_.file = crypto::sha256(bytes_);
    out_.bytes = static_cast<std::int64_t>(bytes_.size());
    if (choices_.zone) {
      if (auto zone = Zone::find(*choices_.zone); zone.ok()) zone_ = std::move(zone).value();
    }
    encoding_ = choices_.encoding ? *reading::encoding_named(*choices_.encoding) : encoding_of(bytes_);
    if (!find_headings()) return std::move(out_);
    Survey survey(out_.matching);
    std::int64_t rows = 0;
    each_data_row([&](const SheetRow& row) {
      survey.row(row);
      ++rows;
    });
    survey.settle(out_.matching);
    ask_columns(survey);
    settle_order(survey);
    settle_decimal(survey);
    take_missing_fields();
    describe();
    if (out_.open()) {
      out_.rows = rows;
      return std::move(out_);
    }
    convert();
    return std::move(out_);
  }

 private:
  bool find_headings();
  void each_data_row(const std::function<void(const SheetRow&)>& each);
  bool is_data(const SheetRow& row);
  void skip(const SheetRow& row);
  void ask_columns(const Survey& survey);
  void settle_order(const Survey& survey);
  void settle_decimal(const Survey& survey);
  void take_missing_fields();
  void describe();
  void convert();

  ByteView bytes_;
  const events::Kind& kind_;
  const Choices& choices_;
  Zone zone_;
  Register out_;
  reading::Encoding encoding_ = reading::Encoding::utf8;
  reading::Delimiter delimiter_ = reading::Delimiter::comma;
  reading::DateOrder order_ = reading::DateOrder::ymd;
  bool dated_ = false;
  reading::Decimal decimal_ = reading::Decimal::point;
  bool counts_skipped_ = false;
};

// The delimiter under which the headings say most; of equals the one that parts most rows alike comes first in the
// list.
bool Reader::find_headings() {
  std::optional<Matching> best;
  std::size_t best_worth = 0;
  for (const reading::Delimiter delimiter : delimiters) {
    if (choices_.delimiter && reading::delimiter_named(*choices_.delimiter) != delimiter) continue;
    const auto rows = first_rows(bytes_, encoding_, delimiter, head_rows);
    auto matching = match_columns(rows, kind_, choices_.columns, choices_.header_row);
    if (!matching) continue;
    const std::size_t worth = matching->columns.size() + matching->contested.size() + 1;
    if (worth <= best_worth) continue;
    best_worth = worth;
    delimiter_ = delimiter;
    best = std::move(matching);
  }
  if (best) {
    out_.matching = std::move(*best);
    for (const std::string& heading : out_.matching.not_found)
      out_.notes.push_back(say("register.no-such-heading", {{"heading", heading}}));
    if (!out_.matching.not_found.empty()) out_.asks.push_back({.what = "column", .choices = {}, .option = "--column"});
    return true;
  }
  out_.notes.push_back(say("register.no-headings", {{"kind", kind_.name}}));
  out_.asks.push_back({.what = "header-row", .choices = {}, .option = "--header-row"});
  describe();
  return false;
}

void Reader::skip(const SheetRow& row) {
  if (!counts_skipped_) return;
  ++out_.skipped;
  if (out_.skipped_rows.size() < skipped_told) out_.skipped_rows.push_back(row.row);
}

// Not the headings once more, no note over the whole width, no total.
bool Reader::is_data(const SheetRow& row) {
  const Matching& matching = out_.matching;
  if (row.empty() || row.row <= matching.header_row) return false;
  if (choices_.from_row && row.row < *choices_.from_row) return false;
  const std::size_t known = matching.columns.size() + matching.contested.size();
  const auto cell = [&](std::size_t at) { return at < row.cells.size() ? row.cells[at] : std::string_view{}; };
  const bool again = !matching.columns.empty() &&
                     std::all_of(matching.columns.begin(), matching.columns.end(), [&](const MatchedColumn& column) {
                       return !column.heading.empty() && cell(column.cell) == column.heading;
                     });
  const bool note = known >= 3 && row.filled() == 1;
  bool total = false;
  if (!note && !again) {
    const auto first =
        std::find_if(row.cells.begin(), row.cells.end(), [](std::string_view one) { return !one.empty(); });
    const auto words = heading_words(*first);
    const auto at = std::find_if(matching.columns.begin(), matching.columns.end(),
                                 [](const MatchedColumn& column) { return column.field->name == "at"; });
    total = !words.empty() && at != matching.columns.end() &&
            cell(at->cell).find_first_of("0123456789") == std::string_view::npos &&
            (words.front() == "total" || words.front() == "sum" || words.front() == "summe" ||
             words.front() == "gesamt" || words.front() == "totals" || words.front() == "suma");
  }
  if (!again && !note && !total) return true;
  skip(row);
  return false;
}

void Reader::each_data_row(const std::function<void(const SheetRow&)>& each) {
  each_row(bytes_, encoding_, delimiter_, [&](const SheetRow& row) {
    if (is_data(row)) each(row);
    return true;
  });
}

void Reader::ask_columns(const Survey& survey) {
  for (const Contested& one : out_.matching.contested) {
    reading::Ask ask{.what = "column", .choices = {}, .option = "--column " + std::string(one.field->name)};
    for (const MatchedColumn& column : one.columns) {
      Value choice = Value::object().set("value", "#" + std::to_string(column.cell + 1)).set("heading", column.heading);
      // Only what is a time is shown: of another column a patient's number could be.
      if (const std::string& first = survey.of(column.cell).first; !first.empty()) choice.set("first", first);
      ask.choices.push_back(std::move(choice));
    }
    out_.asks.push_back(std::move(ask));
  }
}

void Reader::settle_order(const Survey& survey) {
  const OrdersProved& orders = survey.orders();
  if (!orders.any()) return;
  dated_ = true;
  if (choices_.date_order) {
    order_ = *reading::date_order_named(*choices_.date_order);
    return;
  }
  const auto left = orders.left();
  if (left.orders.size() == 1) {
    order_ = left.orders.front();
    if (!left.decided_by.empty()) out_.notes.push_back(say(left.decided_by, {{"order", reading::name_of(order_)}}));
    return;
  }
  reading::Ask ask{.what = "date-order", .choices = {}, .option = "--date-order"};
  if (orders.contradict()) out_.notes.push_back(say("register.orders-mixed"));
  const auto open = parse_register_time(survey.open_date());
  for (const reading::DateOrder order :
       orders.contradict() ? std::vector(reading::date_orders.begin(), reading::date_orders.end()) : left.orders) {
    Value choice = Value::object().set("value", reading::name_of(order));
    const auto day = open ? day_meant(*open, order) : std::nullopt;
    choice.set("first", survey.open_date()).set("means", day ? Value(format_date(*day)) : Value());
    if (orders.contradict()) choice.set("no_such_day", static_cast<std::int64_t>(orders.impossible(order)));
    ask.choices.push_back(std::move(choice));
  }
  out_.asks.push_back(std::move(ask));
}

void Reader::settle_decimal(const Survey& survey) {
  if (choices_.decimal) {
    decimal_ = *reading::decimal_named(*choices_.decimal);
    return;
  }
  if (survey.point() != survey.comma()) {
    decimal_ = survey.comma() ? reading::Decimal::comma : reading::Decimal::point;
    return;
  }
  if (!survey.point() && survey.open_number().empty()) return;
  reading::Ask ask{.what = "decimal", .choices = {}, .option = "--decimal"};
  for (const std::string_view word : {"point", "comma"}) {
    ask.choices.push_back(Value::object().set("value", word).set("first", survey.open_number()));
  }
  out_.asks.push_back(std::move(ask));
}

void Reader::take_missing_fields() {
  const Matching& matching = out_.matching;
  const auto given = [&](std::string_view name) {
    return matching.holds(name) ||
           std::any_of(matching.contested.begin(), matching.contested.end(),
                       [&](const Contested& one) { return one.field->name == name; }) ||
           std::any_of(choices_.fixed.begin(), choices_.fixed.end(), [&](const auto& one) {
             return one.first == name || one.first == "unknown." + std::string(name);
           });
  };
  for (const events::Field& field : kind_.fields) {
    if (field.needed == events::Needed::no || given(field.name)) continue;
    const bool can_be_unknown = kind_.takes_unknown() && &field != kind_.fields.data() && field.name != "method";
    if (choices_.empty_not_recorded && can_be_unknown) continue;
    out_.missing.emplace_back(field.name);
  }
  const events::Field* from = kind_.field("from");
  const bool begins = from != nullptr && from->type == events::Type::date_time && given("from");
  if (!given("at") && !choices_.at && !begins) out_.missing.emplace_back("at");
}

void Reader::describe() {
  out_.reading = Value::object();
  out_.reading.set("encoding", reading::name_of(encoding_)).set("delimiter", reading::name_of(delimiter_));
  const auto asked = [&](std::string_view what) {
    return std::any_of(out_.asks.begin(), out_.asks.end(), [&](const reading::Ask& ask) { return ask.what == what; });
  };
  out_.reading.set("decimal", asked("decimal") ? Value() : Value(reading::name_of(decimal_)));
  out_.reading.set("date_order", dated_ && !asked("date-order") ? Value(reading::name_of(order_)) : Value())
      .set("zone", zone_.name());
  out_.reading.set("header_row", out_.matching.header_row == 0 ? Value() : Value(out_.matching.header_row));
  out_.reading.set("profile", text_or_null(choices_.profile));
}

void Reader::convert() {
  RowRules rules;
  rules.cells.decimal = decimal_;
  for (const auto& [word, meant] : choices_.words) rules.cells.words[heading_key(word)] = meant;
  rules.order = order_;
  rules.zone = zone_;
  rules.empty_not_recorded = choices_.empty_not_recorded;
  if (choices_.at) {
    const auto time = parse_register_time(*choices_.at);
    rules.at = moment_of(*day_meant(*time, reading::DateOrder::ymd), *time, zone_).moment;
  }
  RowReader rows(kind_, choices_, rules, out_);
  const std::string file = hex(out_.file);
  counts_skipped_ = true;
  each_data_row([&](const SheetRow& row) { rows.read(row, file + ":" + std::to_string(row.row)); });
}

std::optional<std::string> unknown_field(const std::string& name, const events::Kind& kind) {
  if (register_field(kind, name) != nullptr) return std::nullopt;
  std::string allowed;
  for (const events::Field& field : kind.fields)
    allowed += std::string(allowed.empty() ? "" : ", ") + std::string(field.name);
  return say("register.no-such-field", {{"found", name}, {"kind", kind.name}, {"allowed", allowed + ", at, by, note"}});
}

}  // namespace

std::optional<std::string> unknown_choice(const Choices& choices, const events::Kind& kind) {
  const auto bad = [](std::string_view option, const std::string& found) {
    return say("register.bad-option", {{"option", option}, {"found", found}});
  };
  if (choices.encoding && !reading::encoding_named(*choices.encoding)) return bad("--encoding", *choices.encoding);
  if (choices.delimiter) {
    const auto named = reading::delimiter_named(*choices.delimiter);
    if (!named || std::find(delimiters.begin(), delimiters.end(), *named) == delimiters.end())
      return bad("--delimiter", *choices.delimiter);
  }
  if (choices.decimal && !reading::decimal_named(*choices.decimal)) return bad("--decimal", *choices.decimal);
  if (choices.date_order && !reading::date_order_named(*choices.date_order))
    return bad("--date-order", *choices.date_order);
  if (choices.zone && !Zone::find(*choices.zone).ok()) return bad("--zone", *choices.zone);
  if (choices.at) {
    const auto time = parse_register_time(*choices.at);
    if (!time || !day_meant(*time, reading::DateOrder::ymd)) return bad("--at", *choices.at);
  }
  for (const auto& [field, heading] : choices.columns) {
    if (field == "-") continue;
    if (auto sentence = unknown_field(field, kind)) return sentence;
  }
  for (const auto& [name, value] : choices.fixed) {
    const bool unknown = name.starts_with("unknown.");
    if (auto sentence = unknown_field(unknown ? name.substr(8) : name, kind)) return sentence;
    const events::Field* field = register_field(kind, unknown ? name.substr(8) : name);
    if (!unknown && is_patient(*field)) return say("register.patient-argument", {{"field", name}});
  }
  return std::nullopt;
}

std::string Register::heading_of(std::string_view field) const {
  for (const MatchedColumn& column : matching.columns) {
    if (column.field->name == field) return column.heading;
  }
  return {};
}

Register read_register(ByteView bytes, const events::Kind& kind, const Choices& choices, const Zone& facility) {
  if (kind.name == "procedure-done" && is_bundle(bytes)) return read_bundle(bytes, kind, choices, facility);
  return Reader(bytes, kind, choices, facility).read();
}

}  // namespace trayproof::registers
