// The value keys together with the editor's own copy of its library.
export { EditorState } from "@codemirror/state";
export { in_music, move_value } from "../src/text/values";
