// What answers each address of the table (routes.cpp). One file a group.
#pragma once

#include "report/desk/routes.h"

namespace trayproof::desk {

// health.cpp
Result<Response> answer_live(Asked& asked);
Result<Response> answer_ready(Asked& asked);
// assets.cpp
Result<Response> answer_asset(Asked& asked);
// sign_in.cpp
Result<Response> answer_station_page(Asked& asked);
Result<Response> answer_become_station(Asked& asked);
Result<Response> answer_sign_in_page(Asked& asked);
Result<Response> answer_tap_name(Asked& asked);
Result<Response> answer_sign_in(Asked& asked);
Result<Response> answer_sign_out(Asked& asked);
// home.cpp
Result<Response> answer_home_page(Asked& asked);
Result<Response> answer_recent_page(Asked& asked);
// subject.cpp
Result<Response> answer_subject_page(Asked& asked);
// entry.cpp
Result<Response> answer_entry_page(Asked& asked);
Result<Response> answer_countersign_entry(Asked& asked);
Result<Response> answer_api_countersign(Asked& asked);
// find.cpp
Result<Response> answer_find_page(Asked& asked);
Result<Response> answer_find(Asked& asked);
// gaps.cpp
Result<Response> answer_gaps_page(Asked& asked);
Result<Response> answer_finding_page(Asked& asked);
Result<Response> answer_finding_answered(Asked& asked);
Result<Response> answer_api_gaps(Asked& asked);
// questions.cpp
Result<Response> answer_questions_page(Asked& asked);
Result<Response> answer_question_page(Asked& asked);
Result<Response> answer_question_csv(Asked& asked);
Result<Response> answer_api_questions(Asked& asked);
Result<Response> answer_api_answer(Asked& asked);
// recalls.cpp
Result<Response> answer_recalls_page(Asked& asked);
Result<Response> answer_new_recall_page(Asked& asked);
Result<Response> answer_open_recall(Asked& asked);
Result<Response> answer_api_recall(Asked& asked);
// recall_page.cpp
Result<Response> answer_recall_page(Asked& asked);
Result<Response> answer_recall_item(Asked& asked);
Result<Response> answer_recall_closed(Asked& asked);
Result<Response> answer_calls_page(Asked& asked);
Result<Response> answer_calls_csv(Asked& asked);
Result<Response> answer_calls_with_numbers(Asked& asked);
Result<Response> answer_api_recall_work(Asked& asked);
// import.cpp
Result<Response> answer_import_page(Asked& asked);
Result<Response> answer_import_handed_in(Asked& asked);
Result<Response> answer_import_read(Asked& asked);
Result<Response> answer_import_confirmed(Asked& asked);
Result<Response> answer_api_import(Asked& asked);
// ledger_page.cpp
Result<Response> answer_ledger_page(Asked& asked);
Result<Response> answer_checkpoint_picture(Asked& asked);
Result<Response> answer_verify_page(Asked& asked);
Result<Response> answer_sign_checkpoint(Asked& asked);
Result<Response> answer_api_export(Asked& asked);
Result<Response> answer_api_verify(Asked& asked);
Result<Response> answer_api_checkpoint(Asked& asked);
Result<Response> answer_api_sign_checkpoint(Asked& asked);
// api_record.cpp
Result<Response> answer_me(Asked& asked);
Result<Response> answer_events(Asked& asked);
// api_ask.cpp
Result<Response> answer_exposure(Asked& asked);
Result<Response> answer_trace(Asked& asked);

// recording.cpp
Result<Response> answer_record_page(Asked& asked);
Result<Response> answer_kind_page(Asked& asked);
Result<Response> answer_record(Asked& asked);
Result<Response> answer_sign(Asked& asked);
// correcting.cpp
Result<Response> answer_correct_page(Asked& asked);
Result<Response> answer_correct(Asked& asked);
// second.cpp
Result<Response> answer_second_page(Asked& asked);
Result<Response> answer_second(Asked& asked);
// seconds.cpp
Result<Response> answer_seconds_page(Asked& asked);
Result<Response> answer_seconds(Asked& asked);
// labels.cpp
Result<Response> answer_pack_label(Asked& asked);
Result<Response> answer_load_labels(Asked& asked);
Result<Response> answer_entry_labels(Asked& asked);
Result<Response> answer_badges(Asked& asked);
Result<Response> answer_badge(Asked& asked);
// photo.cpp
Result<Response> answer_photo(Asked& asked);

// language.cpp
Result<Response> answer_language(Asked& asked);

}  // namespace trayproof::desk
