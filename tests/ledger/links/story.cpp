#include "tests/ledger/links/story.h"

#include <cstdio>
#include <cstdlib>

namespace trayproof::tests {
namespace {

std::string full_time(std::string_view day_time) {
  const std::string date = day_time.size() > 8 ? "2026-" + std::string(day_time) : "2026-10-" + std::string(day_time);
  return date + ":00+05:00";
}

template <typename T>
T must(Result<T> result) {
  if (!result.ok()) {
    std::fprintf(stderr, "story: %s\n", result.error().sentence().c_str());
    std::abort();
  }
  return std::move(result).value();
}

}  // namespace

Instant Story::at(std::string_view day_time) { return parse_date_time(full_time(day_time))->instant; }

std::int64_t Story::tell(std::string_view kind, std::string_view day_time, std::string_view fields) {
  std::string line = R"({"kind":")" + std::string(kind) + R"(","at":")" + full_time(day_time) + R"(","by":"p-1")";
  if (!fields.empty()) line += "," + std::string(fields);
  return ward_.take(line + "}");
}

std::int64_t Story::correct(std::int64_t of, std::string_view replacement) {
  return tell("corrected", "05T11:00",
              R"("why":"read wrongly","of":)" + std::to_string(of) + R"(,"replacement":)" + std::string(replacement));
}

links::Links& Story::links() {
  if (!links_) links_ = std::make_unique<links::Links>(must(links::Links::open(ledger())));
  const auto caught_up = links_->catch_up();
  if (!caught_up.ok()) must(Result<int>(caught_up.error()));
  return *links_;
}

std::string Story::ask(links::Links& links, const std::string& sql) {
  std::string out;
  auto statement = must(links.database().prepare(sql));
  while (must(statement.step())) {
    if (!out.empty()) out += " ";
    out += statement.is_null(0) ? "-" : std::string(statement.text(0));
  }
  return out;
}

std::string Story::ask(const std::string& sql) { return ask(links(), sql); }

Result<recall::Answer> Story::recall(const recall::Request& request) {
  return recall::answer(request, links(), must(ledger().editions(request.known_at)));
}

json::Value Story::answer(const recall::Request& request) {
  return recall::to_json(must(recall(request)), recall::Timing::left_out);
}

recall::Request because_load(recall::Because because, std::string load) {
  recall::Request request;
  request.because = because;
  request.load = std::move(load);
  return request;
}

std::string standings_of(const recall::Answer& answer) {
  std::string out;
  for (const recall::AffectedPack& pack : answer.packs) {
    if (!out.empty()) out += " ";
    out += pack.pack + ":" + std::string(recall::name_of(pack.standing));
  }
  return out;
}

std::string loads_of(const recall::Answer& answer) {
  std::string out;
  for (const recall::AffectedLoad& load : answer.loads) out += (out.empty() ? "" : " ") + load.load;
  return out;
}

std::string procedures_of(const std::vector<recall::AffectedProcedure>& procedures) {
  std::string out;
  for (const recall::AffectedProcedure& procedure : procedures) {
    if (!out.empty()) out += " ";
    out += procedure.procedure + "(";
    bool first = true;
    for (const recall::AffectedUse& use : procedure.uses) {
      out += (first ? "" : ",") + use.pack + "@" + use.load.value_or("-");
      first = false;
    }
    out += ")";
  }
  return out;
}

}  // namespace trayproof::tests
