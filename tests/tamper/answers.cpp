#include "tests/tamper/answers.h"

#include <functional>
#include <set>
#include <sstream>

#include "ledger/crypto/hash.h"
#include "report/command/verbs.h"

namespace trayproof::tests {
namespace {

template <typename T>
Answer answer(const Result<T>& result, const std::function<std::string(const T&)>& text) {
  if (!result.ok()) return {false, result.error().sentence()};
  return {true, text(result.value())};
}

// The names of what stands beside the chain, as the entries give them.
struct Named {
  std::set<std::string> numbers;
  std::set<std::string> texts;
  std::set<std::string> files;
};

void gather(const json::Value& value, Named& named) {
  if (value.is_list()) {
    for (const json::Value& item : value.items()) gather(item, named);
  }
  if (!value.is_object()) return;
  if (const auto stand_in = value.text_at("sha256"); stand_in && value.members().size() == 1)
    named.texts.emplace(*stand_in);
  for (const char* file : {"file", "answer"}) {
    if (const auto digest = value.text_at(file)) named.files.emplace(*digest);
  }
  for (const json::Member& member : value.members()) {
    if (member.name == "patient" && member.value.is_text()) named.numbers.insert(member.value.text());
    if (member.name == "newborns" && member.value.is_list()) {
      for (const json::Value& one : member.value.items()) {
        if (one.is_text()) named.numbers.insert(one.text());
      }
    }
    gather(member.value, named);
  }
}

std::string shown(std::int64_t seq, std::string_view bytes, ByteView hash, ByteView sig) {
  return std::to_string(seq) + " " + std::string(bytes) + " " + hex(hash) + " " + hex(sig) + "\n";
}

void beside(Ledger& ledger, const Named& named, Answers& answers) {
  const std::function<std::string(const std::optional<std::string>&)> or_gone =
      [](const std::optional<std::string>& text) { return text.value_or("gone"); };
  for (const std::string& pseudonym : named.numbers)
    answers["number " + pseudonym] = answer(ledger.patient_number(pseudonym), or_gone);
  for (const std::string& stand_in : named.texts) {
    Digest digest{};
    if (from_hex(stand_in, digest)) answers["text " + stand_in] = answer(ledger.text(digest), or_gone);
  }
  const std::function<std::string(const Bytes&)> sum = [](const Bytes& bytes) { return hex(crypto::sha256(bytes)); };
  for (const std::string& file : named.files) {
    Digest digest{};
    if (from_hex(file, digest)) answers["file " + file] = answer(ledger.attachment(digest), sum);
  }
}

std::string joined_seqs(const std::vector<std::int64_t>& seqs) {
  std::string text;
  for (const std::int64_t seq : seqs) text += std::to_string(seq) + " ";
  return text;
}

}  // namespace

Answers kept_answers(Ledger& ledger) {
  Answers answers;
  Named named;
  std::string walked;
  std::vector<std::int64_t> seqs;
  const auto head = ledger.head();
  const auto scanned =
      ledger.scan(1, head.ok() ? head.value().seq : 0, [&](const store::EntryView& entry) -> Result<void> {
        walked += shown(entry.seq, entry.bytes, entry.hash, entry.sig);
        seqs.push_back(entry.seq);
        if (const auto event = json::parse(entry.bytes); event.ok()) gather(event.value(), named);
        return {};
      });
  answers["walk"] = {scanned.ok() && head.ok(), walked};
  const std::function<std::string(const store::Entry&)> one = [](const store::Entry& entry) {
    return shown(entry.seq, entry.bytes, entry.hash, entry.sig);
  };
  const std::function<std::string(const std::vector<std::int64_t>&)> list = joined_seqs;
  for (const std::int64_t seq : seqs) {
    answers["entry " + std::to_string(seq)] = answer(ledger.entry(seq), one);
    answers["corrections of " + std::to_string(seq)] = answer(ledger.file().corrections_of(seq), list);
  }
  for (const char* kind : {"sop-adopted", "facility-described", "clock-noted", "key-added", "key-retired"})
    answers["landmarks " + std::string(kind)] = answer(ledger.file().landmarks(kind), list);
  beside(ledger, named, answers);
  return answers;
}

Answers verb_answers(const std::string& path, Clock& clock) {
  using namespace command;
  Answers answers;
  const auto ask = [&](const std::string& name, const std::function<Status(const Context&)>& verb) {
    std::ostringstream out;
    std::ostringstream err;
    const Status status = verb({.out = out, .err = err, .clock = clock, .ledger_path = path, .json = true});
    const bool given = status == Status::done;
    answers[name] = {given, given ? out.str() : err.str()};
  };
  const auto recall_of = [](std::string_view because) {
    RecallOptions options;
    options.because = because;
    return options;
  };
  ask("export", [](const Context& context) { return export_entries(context, {}); });
  ask("gaps", [](const Context& context) { return gaps(context, {}); });
  ask("exposure", exposure);
  ask("recall of a load", [&](const Context& context) {
    auto options = recall_of("biological-positive");
    options.load = "L-1";
    return recall_reached(context, options);
  });
  ask("recall of a load as of the morning", [&](const Context& context) {
    auto options = recall_of("load-failed");
    options.load = "L-1";
    options.as_of = "2026-10-05T08:00:00+05:00";
    return recall_reached(context, options);
  });
  ask("recall of a solution", [&](const Context& context) {
    auto options = recall_of("solution-weak");
    options.solution = "S-1";
    return recall_reached(context, options);
  });
  ask("recall from a patient", [&](const Context& context) {
    auto options = recall_of("index-patient");
    options.procedure = "P-1";
    return recall_reached(context, options);
  });
  ask("recall of packs", [&](const Context& context) {
    auto options = recall_of("chosen");
    options.packs = "PK-1,PK-2";
    options.why = "asked";
    return recall_reached(context, options);
  });
  for (const char* subject : {"PK-1", "P-1", "DS-1", "S-1"}) {
    ask("trace of " + std::string(subject),
        [&](const Context& context) { return trace_subject(context, {.subject = subject, .kind = std::nullopt}); });
  }
  return answers;
}

std::string different(const Answers& before, const Answers& after) {
  std::string names;
  for (const auto& [name, was] : before) {
    const auto is = after.find(name);
    const bool differs = is == after.end() ? was.given : is->second.given && is->second != was;
    if (differs) names += (names.empty() ? "" : ", ") + name;
  }
  for (const auto& [name, is] : after) {
    if (is.given && !before.contains(name)) names += (names.empty() ? "" : ", ") + name;
  }
  return names;
}

std::string refused(const Answers& before, const Answers& after) {
  std::string names;
  for (const auto& [name, was] : before) {
    const auto is = after.find(name);
    if (was.given && is != after.end() && !is->second.given) names += (names.empty() ? "" : ", ") + name;
  }
  return names;
}

}  // namespace trayproof::tests
